import { readdir } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { isTautlineError, type TautlineError } from '../../engine/errors.js';
import { feedForward } from '../../engine/feedforward/feedForward.js';
import type { FeedForward } from '../../engine/feedforward/types.js';
import { compareIdentifications } from '../../engine/identify/compare/compare.js';
import type { Comparison } from '../../engine/identify/compare/comparison.js';
import type { Identification } from '../../engine/identify/identification.js';
import { identify } from '../../engine/identify/identify.js';
import { standsForDrive } from '../../engine/identify/standsForDrive.js';
import type { Drive } from '../../engine/line/drive.js';
import type { MeasuredDrive } from '../../engine/line/line.js';
import { type DriveDocument, toDrive } from '../../engine/project/drive.js';
import { toIdentificationDocument } from '../../engine/project/identification.js';
import { type LineDocument, lineSchema } from '../../engine/project/line/lineDocument.js';
import { measuredDrive } from '../../engine/project/line/measuredDrive.js';
import { compareVisits, driveBase, recordingName } from '../../engine/project/visit.js';
import { mapChannels } from '../../engine/recording/mapChannels.js';
import { buildCommissioningReport } from '../../engine/report/commissioning/commissioningReport.js';
import { renderHtml } from '../../engine/report/html.js';
import type { UnitSystem } from '../../engine/units/quantity.js';
import { readDriveDocument } from '../documents/readDrive.js';
import { type PlacedDocument, readPlacedDocument } from '../documents/yamlDocument.js';
import { confinePath } from '../files/confinePath.js';
import { fileError } from '../files/fileError.js';
import { lockFolder } from '../files/lockFolder.js';
import { readRecordingTable } from '../store/readRecordingTable.js';
import { type LineResults, lineResults } from './lineResults.js';
import { resolveReferences } from './readLine.js';
import { rollResults } from './rollResults.js';
import { writeInside, writeResult } from './writeResult.js';

/** One visit to a drive: what was recorded then and what it says. */
export interface Visit {
  /** From the file name: as-found, as-left, or a date. */
  readonly visit: string;
  /** Path of the recording, from the line folder. */
  readonly recording: string;
  readonly identification: Identification;
}

export interface CommissionedSection {
  readonly section: string;
  readonly driveFile: string;
  readonly driveDocument: DriveDocument;
  readonly drive: Drive;
  /** Earliest first. */
  readonly visits: readonly Visit[];
  /** From the latest visit that stands for the drive: not refused, no web on. */
  readonly feedforward?: FeedForward;
  /** First against latest visit. */
  readonly comparison?: Comparison;
}

/** A drive file or a recording that cannot be read; the rest of the line goes on. */
export interface Unreadable {
  readonly section: string;
  /** Path from the line folder. */
  readonly file: string;
  readonly error: TautlineError;
}

export interface CommissionResult {
  readonly line: LineDocument;
  /** Undefined when a drive file that the line refers to cannot be read. */
  readonly results?: LineResults;
  readonly sections: readonly CommissionedSection[];
  /** Driven sections that have no recording yet. */
  readonly unrecorded: readonly string[];
  readonly unreadable: readonly Unreadable[];
  /** Paths written, from the line folder. */
  readonly written: readonly string[];
}

export interface CommissionOptions {
  /** As printed in the report. */
  readonly date: string;
  readonly units: UnitSystem;
  readonly onProgress?: (message: string) => void;
}

/**
 * Runs the whole job in a line folder: for each driven section, identify every recording named DRIVE.VISIT.* in recordings/
 * or exports/, make the feed-forward of the latest, compare first and latest, and write identifications/, handover/ and the
 * report. Identifications are never overwritten: one that says something new gets a name of its own.
 * A drive file or recording that cannot be read is listed and left out, so that it does not cost the other drives their results.
 * @throws TautlineError for line.yaml, locks and writing, and for what cannot be read when nothing at all could be
 */
export async function commissionFolder(
  folder: string,
  options: CommissionOptions,
): Promise<CommissionResult> {
  const lock = await lockFolder(folder);
  try {
    const { data, placed } = await readPlacedDocument(join(folder, 'line.yaml'), lineSchema);
    const line = data as LineDocument;
    const driven = line.sections.filter((s) => typeof s.drive === 'string');
    const written: string[] = [];
    const sections: CommissionedSection[] = [];
    const unrecorded: string[] = [];
    const unreadable: Unreadable[] = [];
    for (const section of driven) {
      options.onProgress?.(`${section.name}: identifying`);
      const before = unreadable.length;
      const done = await commissionSection(folder, section.name, section.drive as string, {
        written,
        unreadable,
      });
      if (done === undefined && unreadable.length === before) unrecorded.push(section.name);
      if (done !== undefined) sections.push(done);
    }
    if (sections.length === 0 && unreadable.length > 0) throw unreadable[0].error;
    options.onProgress?.('line, programs and rolls');
    const results = await lineOf(folder, line, placed, sections, unreadable, options.units);
    const { rolls, unreadable: brokenRolls } = await rollResults(folder, options.units);
    unreadable.push(...brokenRolls.map(({ file, error }) => ({ section: 'rolls', file, error })));
    if (sections.length > 0 || results !== undefined) {
      const report = buildCommissioningReport({
        lineName: line.name,
        invented: line.invented === true,
        date: options.date,
        units: options.units,
        missing: [
          ...unreadable.map(({ section, error }) => ({ section, why: error.message, next: error.next })),
          ...unrecorded.map((section) => ({
            section,
            why: 'nothing was recorded yet',
            next: 'record it and put the file into exports, named DRIVE.VISIT.csv',
          })),
        ],
        ...(results && { line: results }),
        rolls,
        drives: sections.map((s) => ({
          drive: s.drive,
          identification: s.visits[s.visits.length - 1].identification,
          feedforward: s.feedforward,
          comparison: s.comparison,
        })),
      });
      written.push(await writeInside(folder, 'handover', 'commissioning-report.html', renderHtml(report)));
    }
    return { line, ...(results && { results }), sections, unrecorded, unreadable, written };
  } finally {
    await lock.release();
  }
}

/**
 * The line with what was just measured, its check and its programs. A drive file that cannot be read is already listed; the line is then left
 * out as a whole, since its torques would be wrong without it.
 */
async function lineOf(
  folder: string,
  document: LineDocument,
  placed: PlacedDocument['placed'],
  sections: readonly CommissionedSection[],
  unreadable: Unreadable[],
  units: UnitSystem,
): Promise<LineResults | undefined> {
  if (unreadable.some(({ file }) => document.sections.some((s) => s.drive === file))) return undefined;
  const fresh = new Map<string, MeasuredDrive>();
  for (const { driveFile, visits } of sections) {
    const latest = visits.findLast((v) => standsForDrive(v.identification));
    if (latest !== undefined)
      fresh.set(driveFile, measuredDrive(latest.identification, `${basename(driveFile)}, ${latest.visit}`));
  }
  const line = await resolveReferences(folder, document, placed, fresh);
  const results = await lineResults(folder, line, placed, units);
  unreadable.push(...results.unreadable.map(({ file, error }) => ({ section: 'products', file, error })));
  return results;
}

async function commissionSection(
  folder: string,
  section: string,
  driveFile: string,
  { written, unreadable }: { written: string[]; unreadable: Unreadable[] },
): Promise<CommissionedSection | undefined> {
  const orListed = <T>(file: string, read: () => Promise<T>): Promise<T | undefined> =>
    read().catch((error: unknown) => {
      if (!isTautlineError(error)) throw error;
      unreadable.push({ section, file, error });
      return undefined;
    });
  const driveDocument = await orListed(driveFile, async () =>
    readDriveDocument(await confinePath(folder, driveFile)),
  );
  if (driveDocument === undefined) return undefined;
  const drive = toDrive(driveDocument);
  const base = driveBase(driveFile);
  const visits: Visit[] = [];
  for (const { visit, path } of await findRecordings(folder, base)) {
    const recording = await orListed(path, async () => {
      const table = await readRecordingTable(join(folder, path));
      return mapChannels(table, drive, {
        channels: table.stated?.channels,
        sampleInterval: table.stated?.sampleInterval,
      });
    });
    if (recording === undefined) continue;
    const identification = identify(recording, drive);
    visits.push({ visit, recording: path, identification });
    const text = `${JSON.stringify(toIdentificationDocument(identification, driveDocument), null, 2)}\n`;
    written.push(await writeResult(folder, 'identifications', `${base}.${visit}`, text));
  }
  if (visits.length === 0) return undefined;
  const usable = visits.filter((v) => standsForDrive(v.identification));
  const latest = usable[usable.length - 1];
  return {
    section,
    driveFile,
    driveDocument,
    drive,
    visits,
    feedforward: latest && feedForward(latest.identification, drive),
    comparison:
      usable.length < 2
        ? undefined
        : compareIdentifications(usable[0].identification, latest.identification, {
            earlier: drive,
            later: drive,
          }),
  };
}

/** Recordings of one drive, BASE.VISIT.EXT: imported ones first, exports that were not imported besides. */
async function findRecordings(folder: string, base: string): Promise<{ visit: string; path: string }[]> {
  const found = new Map<string, string>();
  for (const place of ['recordings', 'exports']) {
    const inside = await confinePath(folder, place);
    for (const name of await list(inside)) {
      const parts = recordingName(name);
      if (parts === undefined || parts.drive !== base || found.has(parts.visit)) continue;
      found.set(parts.visit, join(place, name));
    }
  }
  return [...found].map(([visit, path]) => ({ visit, path })).sort((a, b) => compareVisits(a.visit, b.visit));
}

async function list(path: string): Promise<string[]> {
  try {
    return (await readdir(path)).sort();
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw fileError(error, path);
  }
}
