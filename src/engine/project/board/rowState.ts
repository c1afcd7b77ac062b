import type { FindingCode } from '../../findings.js';
import type { UnitSystem } from '../../units/quantity.js';
import type { DriveDocument } from '../drive.js';
import type {
  ActionParameters,
  BoardAction,
  BoardCell,
  CellValue,
  NextEntry,
  TestName,
} from './boardDocument.js';
import { type BoardFile, type BoardInput, documentOf, problemOf } from './boardInput.js';
import type { DrivenRoller } from './drivenRows.js';
import type { DriveResult, DriveResults } from './driveResults.js';

/** What the cells of one row are made from. */
export interface RowState {
  readonly row: DrivenRoller;
  readonly input: BoardInput;
  readonly units: UnitSystem;
  readonly drive?: BoardFile<DriveDocument>;
  readonly results: DriveResults;
}

/** An entry of the list of next steps before it is known to which row and cells it belongs. */
export type Step = Omit<NextEntry, 'row' | 'facts'> & {
  /** Whose step it is when not that of the row whose cell waits for it: another row's, or without a row that of the line. */
  readonly owner?: { readonly row?: string };
};

/** A cell with the steps that would move it. */
export interface Judged {
  readonly cell: BoardCell;
  readonly steps: readonly Step[];
}

/** A value that is known. Not a relation [1]. Source: definition. */
export const known = (value: CellValue, steps: readonly Step[] = []): Judged => ({
  cell: { state: 'value', ...value },
  steps,
});

/** A fact that is not known, with the step that gives it. Not a relation [1]. Source: definition. */
export const missing = (reason: string, step?: Step): Judged => ({
  cell: { state: 'missing', reason, ...(step && { action: step.action }) },
  steps: step === undefined ? [] : [step],
});

/** A value that rests on a result: stale when the result is. */
export function resting(
  on: DriveResult,
  state: RowState,
  value: CellValue,
  steps: readonly Step[] = [],
): Judged {
  if (on.stale.length === 0) return known(value, steps);
  const step = staleStep(on, state);
  return {
    cell: { state: 'stale', ...value, because: on.stale, action: step.action },
    steps: [step, ...steps],
  };
}

/** What renews a result of which an input changed. */
export function staleStep(on: DriveResult, { row, drive }: RowState): Step {
  const why = on.stale.map((r) => r.message).join('; ');
  if (on.stale.some((r) => r.input === 'drive') && documentOf(drive) === undefined)
    return { weight: 'stale', why, action: driveFileAction(row, drive) };
  const gone = on.stale.some((r) => r.input === 'recording-gone');
  const parameters = {
    ...of(row),
    ...(on.recording && { recording: on.recording.file }),
    identification: on.file,
  };
  return {
    weight: 'stale',
    why,
    action: gone
      ? {
          kind: 'answer-recording',
          words: 'put the recording back, or record again',
          view: 'recordings',
          parameters: of(row),
        }
      : { kind: 'identify', words: 'identify again', view: 'identify', parameters },
  };
}

/** Parameters that say which drive is meant. */
export const of = ({ drive, section }: DrivenRoller): ActionParameters =>
  drive === undefined ? { ...(section !== undefined && { section }) } : { drive };

/** The test sheet of a test for a drive. Not a relation [1]. Source: definition. */
export const recordTest = (row: DrivenRoller, test: TestName, words: string): BoardAction => ({
  kind: 'record-test',
  words,
  view: 'test-sheet',
  parameters: { ...of(row), test },
});

/** The drive file at the place that cannot be read. Not a relation [1]. Source: definition. */
export function driveFileAction(row: DrivenRoller, drive: BoardFile<DriveDocument> | undefined): BoardAction {
  const line = problemOf(drive)?.where.line;
  return {
    kind: 'correct-document',
    words: 'correct the drive file',
    view: 'line',
    parameters: {
      ...of(row),
      ...(row.driveFile !== undefined && { file: row.driveFile }),
      ...(typeof line === 'number' && { line }),
    },
  };
}

/** Findings that an answer about the file puts right; what else is refused needs another recording. */
const answerable: readonly FindingCode[] = [
  'nan_column',
  'text_in_numeric_column',
  'duplicate_headers',
  'decimal_unclear',
  'thousands_separator',
  'date_order_unclear',
  'role_missing',
  'role_ambiguous',
  'units_missing',
  'sign_convention',
  'unsigned_speed',
  'speeds_disagree',
];

/** Why a drive's latest recording gave nothing, and what to do. */
export function refusedStep({ document, recording }: DriveResult, row: DrivenRoller): Step {
  const finding = document.findings.find((f) => f.severity === 'refuse');
  const why = `${recording?.file ?? document.inputs.file}: ${finding?.message ?? 'the recording was refused'}`;
  const answer = finding !== undefined && answerable.includes(finding.code);
  return {
    weight: 'refused',
    why,
    ...(finding && { code: finding.code }),
    action: answer
      ? {
          kind: 'answer-recording',
          words: finding.next,
          view: 'recordings',
          parameters: { ...of(row), ...(recording && { recording: recording.file }) },
        }
      : recordTest(row, 'designed', finding?.next ?? 'record the drive without web'),
  };
}

/** Identifying the latest recording that no result rests on. Not a relation [1]. Source: definition. */
export function identifyStep(state: RowState): Step | undefined {
  const { row, results } = state;
  const found = results.notIdentified;
  // without its drive file nothing can be identified
  if (found === undefined || problemOf(state.drive) !== undefined) return undefined;
  return {
    weight: 'not-identified',
    why: `${found.recording.file} is recorded and not identified yet`,
    action: {
      kind: 'identify',
      words: 'identify it',
      view: 'identify',
      parameters: { ...of(row), recording: found.recording.file },
    },
  };
}

/** Recordings that cannot be read, earliest first. */
export const unreadableRecordings = ({ row, results }: RowState): Step[] =>
  results.recorded.flatMap(({ recording: { file, problem } }) =>
    problem === undefined
      ? []
      : [
          {
            weight: 'unreadable',
            why: problem.message,
            action: {
              kind: 'answer-recording',
              words: problem.next,
              view: 'recordings',
              parameters: { ...of(row), recording: file },
            },
          },
        ],
  );

/** Why nothing is known of a drive, as the step that would change it: the first thing that stands in the way. */
export function whyNothing(state: RowState): Step {
  const { row, drive, results } = state;
  if (row.drive === undefined)
    return {
      weight: 'data-missing',
      why: `the drive of ${row.name} is stated in line.yaml itself; recordings belong to a drive file`,
      action: {
        kind: 'state-drive',
        words: 'give it a drive file',
        view: 'line',
        parameters: { ...of(row), ...(row.pointer !== undefined && { pointer: `${row.pointer}.drive` }) },
      },
    };
  const problem = problemOf(drive);
  if (problem !== undefined)
    return { weight: 'unreadable', why: problem.message, action: driveFileAction(row, drive) };
  if (results.refused !== undefined) return refusedStep(results.refused, row);
  const identify = identifyStep(state);
  if (identify !== undefined) return identify;
  const broken = unreadableRecordings(state);
  if (broken.length > 0) return broken[broken.length - 1];
  const [unreadable] = results.unreadable;
  const last = results.recorded[results.recorded.length - 1];
  if (unreadable !== undefined && last !== undefined)
    return unreadableResult(unreadable, row, last.recording.file);
  if (results.webOn !== undefined)
    return {
      weight: 'not-recorded',
      why: `${results.webOn.recording?.file ?? results.webOn.document.inputs.file} was recorded with the web on; the drive alone was not recorded yet`,
      action: recordTest(row, 'designed', 'record the drive without web'),
    };
  if (last !== undefined)
    // its refused result rests on inputs that have changed since
    return {
      weight: 'not-identified',
      why: `${last.recording.file} was refused, and what that rested on has changed since`,
      action: {
        kind: 'identify',
        words: 'identify it again',
        view: 'identify',
        parameters: { ...of(row), recording: last.recording.file },
      },
    };
  return {
    weight: 'not-recorded',
    why: `nothing was recorded of ${row.name} yet`,
    action: recordTest(row, 'designed', 'record the drive without web'),
  };
}

/** Making a result anew that cannot be read. Not a relation [1]. Source: definition. */
export function unreadableResult(
  { file, problem }: DriveResults['unreadable'][number],
  row: DrivenRoller,
  recording: string | undefined,
): Step {
  return {
    weight: 'unreadable',
    why: problem.message,
    action: {
      kind: 'identify',
      words: 'identify again',
      view: 'identify',
      parameters: { ...of(row), identification: file, ...(recording !== undefined && { recording }) },
    },
  };
}
