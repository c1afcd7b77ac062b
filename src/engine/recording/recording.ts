import type { Finding } from '../findings.js';

/** What a column of a recording is. The names are those of the command line's `--channel ROLE=HEADER`. */
export const roles = [
  'time',
  'speed-reference',
  'motor-speed',
  'motor-position',
  'roller-speed',
  'line-speed',
  'motor-torque',
  'web-tension',
  'roll-diameter',
  'drive-enabled',
] as const;
export type Role = (typeof roles)[number];

/**
 * A column as it stands in the file, parsed but not yet understood: values in the file's own unit.
 * A blank or non-numeric cell is NaN and counted.
 */
export interface RawColumn {
  readonly header: string;
  /** Unit as written in the header or unit row; undefined where the file gives none. Never guessed. */
  readonly unit: string | undefined;
  /**
   * number: as written. datetime: seconds since `epoch_s`. clock: seconds since the first midnight, unwrapped past midnight.
   * boolean: 0/1 from true/false, on/off, yes/no. text: all NaN.
   */
  readonly kind: 'number' | 'datetime' | 'clock' | 'boolean' | 'text';
  readonly values: Float64Array;
  /** kind datetime: Unix time of value 0 [s]; local date-times are read as if UTC. */
  readonly epoch_s?: number;
  readonly blankCells: number;
  /** Cells that hold neither a number nor a blank: how many, the first one's text and its line in the file. */
  readonly textCells: number;
  readonly firstText?: { readonly text: string; readonly line: number };
}

/** A parsed table, whatever file it came from. */
export interface RawTable {
  readonly columns: readonly RawColumn[];
  readonly rows: number;
  /** How the text was read, shown to the user and overridable; undefined for Parquet. */
  readonly dialect?: Dialect;
  readonly findings: readonly Finding[];
  readonly source: Source;
}

export interface Dialect {
  readonly encoding: 'utf-8' | 'utf-16le' | 'utf-16be' | 'latin-1';
  readonly separator: ',' | ';' | '\t' | '|';
  readonly decimal: '.' | ',';
  /** Lines before the header line. */
  readonly titleLines: number;
  readonly hasHeader: boolean;
  readonly hasUnitRow: boolean;
}

export interface Source {
  readonly file: string;
  readonly sha256: string;
  readonly rows: number;
  /** Checksum of what stood beside the values when they were read (roles, units, interval); absent where nothing did. */
  readonly choices_sha256?: string;
}

/**
 * A channel the engine computes with: SI, at its own side.
 * speed-reference, motor-speed [rad/s at the motor]; motor-position [rad at the motor]; roller-speed, line-speed [m/s];
 * motor-torque [N·m at the motor]; web-tension [N, total]; roll-diameter [m]; drive-enabled [0 or 1].
 * A missing sample is NaN and stays NaN.
 */
export interface Channel {
  readonly role: Role;
  readonly header: string;
  /** Unit it had in the file. */
  readonly unit: string;
  readonly values: Float64Array;
}

/** One recording of one drive: a common time base [s], strictly increasing, and channels of the same length. */
export interface Recording {
  readonly time: Float64Array;
  readonly channels: Partial<Record<Exclude<Role, 'time'>, Channel>>;
  /** The time column as it stood in the file (header and unit), or a note that it was made from an interval. */
  readonly timeSource: { readonly header: string; readonly unit: string };
  /** What reading and mapping had to say. */
  readonly findings: readonly Finding[];
  readonly source: Source;
}
