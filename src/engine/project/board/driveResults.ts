import { hadWebOn, standsForDrive } from '../../identify/standsForDrive.js';
import type { DriveDocument } from '../drive.js';
import type { IdentificationDocument } from '../identification.js';
import { compareVisits, identificationName, recordingName, visitDate } from '../visit.js';
import type { CellSource, StaleReason } from './boardDocument.js';
import {
  type BoardFile,
  type BoardInput,
  type BoardRecording,
  documentOf,
  type FileProblem,
} from './boardInput.js';
import type { DrivenRoller } from './drivenRows.js';
import { recordingOf, staleBecause } from './staleBecause.js';

/** A result of a drive with what became of its inputs. */
export interface DriveResult {
  readonly file: string;
  readonly visit: string;
  /** Results of one visit are counted from 1. */
  readonly count: number;
  readonly document: IdentificationDocument;
  readonly recording?: BoardRecording;
  readonly stale: readonly StaleReason[];
}

export interface RecordedVisit {
  readonly visit: string;
  readonly recording: BoardRecording;
}

/** What there is of one drive, sorted out. */
export interface DriveResults {
  /** Earliest first; of one visit the imported one alone. */
  readonly recorded: readonly RecordedVisit[];
  /** The result that holds: the latest visit that was not refused and had no web on, or the one that the line names. */
  readonly current?: DriveResult;
  /** Latest result with the web on. */
  readonly webOn?: DriveResult;
  /** Latest result, when it was refused and its inputs are still those that were refused. */
  readonly refused?: DriveResult;
  /** Latest recording that no result rests on or bears the visit of. */
  readonly notIdentified?: RecordedVisit;
  /** Results that cannot be read and that no readable one follows. */
  readonly unreadable: readonly { readonly file: string; readonly problem: FileProblem }[];
}

/** Recordings and results of one drive, by their names and checksums. Not a relation [1]. Source: docs/board.md. */
export function driveResults(
  row: DrivenRoller,
  drive: BoardFile<DriveDocument> | undefined,
  { recordings, identifications }: BoardInput,
): DriveResults {
  const recorded = recordedVisits(row.drive, recordings);
  const results: DriveResult[] = [];
  const broken: { file: string; visit: string; count: number; problem: FileProblem }[] = [];
  let named: DriveResult | undefined;
  for (const found of identifications) {
    const parts = identificationName(found.file);
    const isNamed = found.file === row.identification;
    if (!isNamed && (parts === undefined || parts.drive !== row.drive)) continue;
    const { visit, count } = parts ?? { visit: '', count: 1 };
    const document = documentOf(found);
    if (document === undefined) {
      if ('problem' in found) broken.push({ file: found.file, visit, count, problem: found.problem });
      continue;
    }
    const recording = recordingOf(document, recordings);
    const stale = staleBecause(document, recordings, drive);
    const result = { file: found.file, visit, count, document, ...(recording && { recording }), stale };
    if (isNamed) named = result;
    if (parts?.drive === row.drive) results.push(result);
  }
  const latest = latestOfVisits(results);
  const current = named ?? latest.findLast((r) => standsForDrive(r.document));
  const webOn = latest.findLast((r) => r.document.verdict !== 'refused' && hadWebOn(r.document));
  const last = latest[latest.length - 1];
  const refused = last?.document.verdict === 'refused' && last.stale.length === 0 ? last : undefined;
  const notIdentified = recorded.findLast(
    ({ visit, recording }) =>
      !results.some((r) => r.visit === visit || r.document.inputs.sha256 === recording.sha256) &&
      recording.problem === undefined,
  );
  const follows = (r: DriveResult, b: { visit: string; count: number }): boolean =>
    (compareVisits(r.visit, b.visit) || r.count - b.count) > 0;
  return {
    recorded,
    ...(current && { current }),
    ...(webOn && { webOn }),
    ...(refused && { refused }),
    ...(notIdentified && { notIdentified }),
    unreadable: broken
      .filter((b) => b.file === row.identification || !results.some((r) => follows(r, b)))
      .sort((a, b) => (a.file < b.file ? -1 : 1))
      .map(({ file, problem }) => ({ file, problem })),
  };
}

/**
 * Of every visit the result that holds, earliest visit first: one whose inputs are as they were before one of which they are not, then the
 * one that was made last. When an input is changed back, the result that belongs to it holds again.
 */
function latestOfVisits(results: readonly DriveResult[]): DriveResult[] {
  const best = new Map<string, DriveResult>();
  for (const r of results) {
    const before = best.get(r.visit);
    const isFresh = (x: DriveResult): number => (x.stale.length === 0 ? 1 : 0);
    if (before === undefined || (isFresh(r) - isFresh(before) || r.count - before.count) > 0)
      best.set(r.visit, r);
  }
  return [...best.values()].sort((a, b) => compareVisits(a.visit, b.visit));
}

function recordedVisits(drive: string | undefined, recordings: readonly BoardRecording[]): RecordedVisit[] {
  const found = new Map<string, BoardRecording>();
  const order = (file: string): string => `${file.startsWith('recordings/') ? 0 : 1}${file}`;
  for (const recording of recordings) {
    const parts = recordingName(recording.file);
    if (parts === undefined || parts.drive !== drive) continue;
    const before = found.get(parts.visit);
    if (before === undefined || order(recording.file) < order(before.file)) found.set(parts.visit, recording);
  }
  return [...found]
    .map(([visit, recording]) => ({ visit, recording }))
    .sort((a, b) => compareVisits(a.visit, b.visit));
}

/** Where a value of a result came from. Not a relation [1]. Source: definition. */
export function sourceOf(
  { file, visit, document, recording }: DriveResult,
  method: string,
  kinds: readonly string[] = [],
): CellSource {
  const date = visitDate(visit);
  const stretches = document.segments
    .filter((s) => s.used && kinds.includes(s.kind))
    .map(({ from_s, to_s }) => ({ from_s, to_s }));
  return {
    method,
    recording: recording?.file ?? document.inputs.file,
    identification: file,
    ...(visit !== '' && { visit }),
    ...(date !== undefined && { date }),
    ...(stretches.length > 0 && { stretches }),
  };
}
