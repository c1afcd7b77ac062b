import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { isTautlineError } from '../../engine/errors.js';
import { feedForward } from '../../engine/feedforward/feedForward.js';
import { compareIdentifications } from '../../engine/identify/compare/compare.js';
import type { Identification } from '../../engine/identify/identification.js';
import { standsForDrive } from '../../engine/identify/standsForDrive.js';
import { toDrive } from '../../engine/project/drive.js';
import { fromIdentificationDocument } from '../../engine/project/identification.js';
import { type LineDocument, lineSchema } from '../../engine/project/line/lineDocument.js';
import { compareVisits, driveBase, identificationName } from '../../engine/project/visit.js';
import { buildCommissioningReport } from '../../engine/report/commissioning/commissioningReport.js';
import type { CommissionedDrive, CommissioningInput } from '../../engine/report/commissioning/input.js';
import { renderHtml } from '../../engine/report/html.js';
import type { UnitSystem } from '../../engine/units/quantity.js';
import { readDriveDocument } from '../documents/readDrive.js';
import { readIdentification } from '../documents/readIdentification.js';
import { readPlacedDocument } from '../documents/yamlDocument.js';
import { confinePath } from '../files/confinePath.js';
import { fileError } from '../files/fileError.js';
import { lineResults } from './lineResults.js';
import { resolveReferences } from './readLine.js';
import { rollResults } from './rollResults.js';

type Missing = NonNullable<CommissioningInput['missing']>[number];

export interface ReportOptions {
  /** As printed in the report. */
  readonly date: string;
  readonly units: UnitSystem;
}

/**
 * The commissioning report of a line folder from the results that are kept in it, as HTML; nothing is identified anew and nothing is written. What
 * cannot be read is listed in it. @throws TautlineError for line.yaml
 */
export async function reportFolder(folder: string, { date, units }: ReportOptions): Promise<string> {
  const path = await confinePath(folder, 'line.yaml');
  const { data, placed } = await readPlacedDocument(path, lineSchema);
  const document = data as LineDocument;
  const drives: CommissionedDrive[] = [];
  const missing: Missing[] = [];
  const orMissing = async (section: string, read: () => Promise<void>): Promise<void> => {
    try {
      await read();
    } catch (error) {
      if (!isTautlineError(error)) throw error;
      missing.push({ section, why: error.message, next: error.next });
    }
  };
  for (const { name, drive } of document.sections) {
    if (typeof drive !== 'string') continue;
    await orMissing(name, async () => {
      const found = await commissionedDrive(folder, drive);
      if ('drive' in found) drives.push(found);
      else missing.push({ section: name, ...found });
    });
  }
  let line: CommissioningInput['line'];
  await orMissing('line and programs', async () => {
    const results = await lineResults(
      folder,
      await resolveReferences(folder, document, placed),
      placed,
      units,
    );
    line = results;
    for (const { file, error } of results.unreadable)
      missing.push({ section: file, why: error.message, next: error.next });
  });
  const { rolls, unreadable } = await rollResults(folder, units);
  for (const { file, error } of unreadable)
    missing.push({ section: file, why: error.message, next: error.next });
  return renderHtml(
    buildCommissioningReport({
      lineName: document.name,
      invented: document.invented === true,
      date,
      units,
      missing,
      ...(line && { line }),
      rolls,
      drives,
    }),
  );
}

async function commissionedDrive(
  folder: string,
  driveFile: string,
): Promise<CommissionedDrive | Omit<Missing, 'section'>> {
  const drive = toDrive(await readDriveDocument(await confinePath(folder, driveFile)));
  const visits = await visitsOf(folder, driveBase(driveFile));
  const usable = visits.filter(standsForDrive);
  const latest = usable.at(-1);
  if (latest === undefined)
    return visits.length === 0
      ? { why: 'nothing was identified yet', next: 'record the drive and identify it' }
      : {
          why: 'every result was refused, or recorded with the web on',
          next: 'look at the findings of the latest one, and record the drive without web',
        };
  return {
    drive,
    identification: latest,
    feedforward: feedForward(latest, drive),
    ...(usable.length > 1 && {
      comparison: compareIdentifications(usable[0], latest, { earlier: drive, later: drive }),
    }),
  };
}

/** Of each visit to a drive the result that was kept last, earliest visit first. */
async function visitsOf(folder: string, base: string): Promise<Identification[]> {
  const inside = await confinePath(folder, 'identifications');
  const names = await readdir(inside).catch((error: unknown) => {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw fileError(error, inside);
  });
  const last = new Map<string, { name: string; count: number }>();
  for (const name of names) {
    const parts = identificationName(name);
    if (parts?.drive !== base || parts.count < (last.get(parts.visit)?.count ?? 0)) continue;
    last.set(parts.visit, { name, count: parts.count });
  }
  const out: Identification[] = [];
  for (const [, { name }] of [...last].sort(([a], [b]) => compareVisits(a, b)))
    out.push(fromIdentificationDocument(await readIdentification(join(inside, name))));
  return out;
}
