import type { Finding, FindingCode } from '../../findings.js';
import type { Element } from '../../line/drive.js';
import type { QuantityKey } from '../../units/quantity.js';

/** What must be known of a drive before it is handed over, in the order of the work. */
export const boardFacts = [
  'recorded',
  'inertia',
  'breakaway',
  'drag',
  'feedforward',
  'limits',
  'proven',
  'nextVisit',
] as const;
export type BoardFact = (typeof boardFacts)[number];

/** `tautline/board@1`: where the commissioning of a line stands. Values in SI at the motor shaft unless their words say otherwise. */
export interface BoardDocument {
  readonly schema: 'tautline/board@1';
  /** Name of the line; undefined when line.yaml cannot be read. */
  readonly line?: string;
  readonly invented: boolean;
  /** Driven rollers in web order; behind them, by name, drive files that no section refers to. */
  readonly rows: readonly BoardRow[];
  /** What holds the job back, most first. */
  readonly next: readonly NextEntry[];
}

export interface BoardRow {
  /** Name of the driven roller, or of the drive where it has no place in the line. Unique on the board. */
  readonly name: string;
  /** Section of the line with its place in line.yaml (sections.3); absent for a drive without a place. */
  readonly section?: string;
  readonly pointer?: string;
  /** Path of the drive file from the line folder; absent for a nameplate in place. */
  readonly driveFile?: string;
  /** What the drive is called in paths and addresses: its file without folder and ending. */
  readonly drive?: string;
  readonly element?: Element;
  readonly cells: Readonly<Record<BoardFact, BoardCell>>;
}

export type BoardCell = ValueCell | MissingCell | StaleCell;

/** Known, and what it rests on is as it was. */
export interface ValueCell extends CellValue {
  readonly state: 'value';
}

/** Not known: why, and the one action that gives it. Without an action there is nothing to do yet, or nothing to do at all. */
export interface MissingCell {
  readonly state: 'missing';
  readonly reason: string;
  readonly action?: BoardAction;
}

/** Known once; something that it rests on is no longer what it was. The value is the old one. */
export interface StaleCell extends CellValue {
  readonly state: 'stale';
  readonly because: readonly StaleReason[];
  readonly action: BoardAction;
}

export interface CellValue {
  /** SI value of `quantity`; absent where the fact is no number. */
  readonly value?: number;
  readonly quantity?: QuantityKey;
  readonly interval95?: readonly [number, number];
  /** Where on an axis the value holds, for instance the speed of a drag. */
  readonly at?: { readonly value: number; readonly quantity: QuantityKey };
  /** ISO date, for a fact that is a day. */
  readonly date?: string;
  /** What the value is, in words without numbers. */
  readonly words: string;
  readonly from: CellSource;
  /** What there is to say of this value: warnings, refusals and what it leaves out. */
  readonly findings: readonly Finding[];
}

/** Where a value came from. Paths from the line folder. */
export interface CellSource {
  readonly method: string;
  readonly recording?: string;
  readonly identification?: string;
  readonly product?: string;
  readonly visit?: string;
  /** Day of the visit, when its name is a date. */
  readonly date?: string;
  /** Stretches of the recording that the value was taken from [s]. */
  readonly stretches?: readonly { readonly from_s: number; readonly to_s: number }[];
}

/** Which input of a result changed. */
export interface StaleReason {
  readonly input: 'recording' | 'recording-gone' | 'channels' | 'drive';
  /** Path of the input from the line folder. */
  readonly file: string;
  readonly message: string;
  /** Keys that changed, for `drive`. */
  readonly keys?: readonly string[];
}

export const boardViews = [
  'line',
  'recordings',
  'test-sheet',
  'identify',
  'feed-forward',
  'programs',
] as const;
export type BoardView = (typeof boardViews)[number];

/** Tests that a drive can be recorded in; the names of the test sheets. */
export type TestName = 'designed' | 'staircase' | 'ramps' | 'coast-down' | 'breakaway' | 'web-on';

/** One click: the place where something is made. `parameters` are those of the view's address. */
export interface BoardAction {
  readonly kind:
    | 'correct-document'
    | 'state-drive'
    | 'place-drive'
    | 'record-test'
    | 'answer-recording'
    | 'identify'
    | 'look-at-result'
    | 'write-program'
    | 'mend-limit';
  /** What to do, as the words of a button's label. */
  readonly words: string;
  readonly view: BoardView;
  readonly parameters: ActionParameters;
}

export interface ActionParameters {
  /** Name of a drive, as BoardRow.drive. */
  readonly drive?: string;
  readonly section?: string;
  /** Path from the line folder. */
  readonly recording?: string;
  readonly identification?: string;
  readonly product?: string;
  readonly test?: TestName;
  readonly file?: string;
  /** Place in `file`. */
  readonly line?: number;
  readonly pointer?: string;
}

/** How much an entry holds the job back; the list is sorted by this order, then by web order. */
export const nextWeights = [
  'unreadable',
  'refused',
  'not-recorded',
  'not-identified',
  'test-missing',
  'stale',
  'limit-broken',
  'data-missing',
  'warning',
  'not-proven',
  'visit-due',
] as const;
export type NextWeight = (typeof nextWeights)[number];

export interface NextEntry {
  readonly weight: NextWeight;
  /** Name of the row; absent for what concerns the line as a whole. */
  readonly row?: string;
  /** Cells of the row that wait for it. */
  readonly facts: readonly BoardFact[];
  readonly why: string;
  /** Code of the finding behind it, when there is one. */
  readonly code?: FindingCode;
  readonly action: BoardAction;
}
