import type { DriveDocument } from '../drive.js';
import type { LineDocument, RollerDocument, SectionDocument } from '../line/lineDocument.js';
import { driveBase } from '../visit.js';
import { plainPath } from './boardInput.js';

/** A driven roller as the line document states it. */
export interface DrivenRoller {
  /** As the engine calls the roller (toLine.ts). */
  readonly name: string;
  readonly section?: string;
  readonly pointer?: string;
  /** Path of its drive file, plain; absent for a nameplate in place. */
  readonly driveFile?: string;
  readonly drive?: string;
  readonly nameplate?: Partial<DriveDocument>;
  /** Path of the result that the line names for it, plain. */
  readonly identification?: string;
  /** Both paths as the line document states them. */
  readonly stated?: { readonly drive?: string; readonly identification?: string };
}

/**
 * Driven rollers in web order, then, by name, drive files that no section refers to. Works on the document alone, so that a line with a broken
 * reference still has its rows. Not a relation [1]. Source: definition.
 */
export function drivenRows(line: LineDocument | undefined, driveFiles: readonly string[]): DrivenRoller[] {
  const placed = (line?.sections ?? []).flatMap((section, k) => [...rollersOf(section, `sections.${k}`)]);
  const used = new Set(placed.map((row) => row.driveFile));
  const loose = driveFiles
    .filter((file) => !used.has(file))
    .sort()
    .map((driveFile) => ({ name: driveBase(driveFile), driveFile, drive: driveBase(driveFile) }));
  return [...placed, ...loose];
}

function* rollersOf(section: SectionDocument, pointer: string): Generator<DrivenRoller> {
  const row = (roller: RollerDocument, name: string, at: string): DrivenRoller[] => {
    const { drive, identification } = roller;
    if (drive === undefined) return [];
    const file = typeof drive === 'string' ? plainPath(drive) : undefined;
    return [
      {
        name,
        section: section.name,
        pointer: at,
        ...(file === undefined
          ? { nameplate: drive as Partial<DriveDocument> }
          : { driveFile: file, drive: driveBase(file) }),
        ...(identification !== undefined && { identification: plainPath(identification) }),
        stated: {
          ...(typeof drive === 'string' && { drive }),
          ...(identification !== undefined && { identification }),
        },
      },
    ];
  };
  // the web, or the roll, meets the drums before the roll is wound
  for (const key of ['drum', 'rear_drum', 'front_drum'] as const) {
    const drum = section[key];
    if (drum !== undefined && typeof drum !== 'string')
      yield* row(drum, `${section.name} ${key.replace('_', ' ')}`, `${pointer}.${key}`);
  }
  const more = section.rollers ?? [];
  yield* row(section, more.length === 0 ? section.name : `${section.name} 1`, pointer);
  for (const [k, roller] of more.entries())
    yield* row(roller, `${section.name} ${k + 2}`, `${pointer}.rollers.${k}`);
}
