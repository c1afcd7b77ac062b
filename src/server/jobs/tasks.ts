import type { Finding, Verdict } from '../../engine/findings.js';
import type { BoardDocument } from '../../engine/project/board/boardDocument.js';
import type { PlayedDocument } from '../../engine/project/feedforwardPlay.js';
import type { IdentificationDocument } from '../../engine/project/identification.js';
import type { RecordingDocument } from '../../engine/project/recording.js';
import type { Dialect, Role } from '../../engine/recording/recording.js';
import type { UnitSystem } from '../../engine/units/quantity.js';
import type { TraceDocument } from '../traces/traceDocument.js';

/** How far something is: `done` of `total`, and what is being done. */
export interface Progress {
  readonly done: number;
  readonly total: number;
  readonly words: string;
}

/** What a user states about the columns and the text of an upload. */
export interface Statements {
  readonly channels?: Partial<Record<Role, string>>;
  readonly units?: Partial<Record<Role, string>>;
  readonly sampleInterval?: number;
  readonly dialect?: Partial<Dialect>;
  readonly headerRow?: number;
}

/** How an upload would be read. */
export interface Proposal {
  readonly file: string;
  readonly bytes: number;
  readonly dialect?: Dialect;
  /** First lines of the file as they stand there. */
  readonly text: readonly string[];
  readonly columns: readonly {
    readonly header: string;
    readonly unit?: string;
    readonly kind: string;
    readonly role?: Role;
  }[];
  /** First rows as numbers, by row; null where a cell holds none. */
  readonly rows: readonly (readonly (number | null)[])[];
  /** What the file does not say: a unit, or which of several columns is meant. */
  readonly questions: readonly Question[];
  readonly findings: readonly Finding[];
}

export interface Question {
  readonly kind: 'unit' | 'column';
  readonly role: Role;
  readonly header?: string;
  /** Units, or headers, that may be the answer. */
  readonly choices: readonly string[];
  readonly message: string;
  /** False where the recording is of use without the answer. */
  readonly needed: boolean;
}

export interface ImportResultDocument {
  readonly verdict: 'imported' | 'refused';
  /** Name by which the recording is asked for. */
  readonly name?: string;
  readonly written?: { readonly data: string; readonly document: string };
  readonly document: RecordingDocument;
  readonly findings: readonly Finding[];
}

/** Thinned samples for plots; null where there is no value. */
export interface FitTraceDocument {
  readonly time_s: readonly (number | null)[];
  readonly speed_rad_per_s: readonly (number | null)[];
  readonly torque_Nm: readonly (number | null)[];
  readonly torqueFitted_Nm: readonly (number | null)[];
}

export interface IdentifyResultDocument {
  readonly document: IdentificationDocument;
  readonly trace?: FitTraceDocument;
  /** Name under identifications/, when it was to be kept. */
  readonly stored?: string;
}

export interface IdentificationEntry {
  readonly name: string;
  readonly drive: string;
  readonly visit: string;
  readonly verdict?: Verdict;
  /** May line, feed-forward and programs rest on it? */
  readonly standsForDrive?: boolean;
  readonly version: string;
  readonly staleBecause: readonly {
    readonly input: string;
    readonly file: string;
    readonly message: string;
  }[];
  readonly error?: { readonly code: string; readonly message: string; readonly next: string };
}

export interface IdentifyOptionsDocument {
  readonly exclude?: readonly (readonly [number, number])[];
  readonly include?: readonly (readonly [number, number])[];
  readonly flipTorque?: boolean;
  readonly compensateDelay?: number;
}

/** What workers do: input and result of each task. Everything must pass between threads. */
export interface Tasks {
  propose: { input: { file: string; statements: Statements }; result: Proposal };
  importRecording: {
    input: {
      folder: string;
      file: string;
      name: string;
      imported: string;
      notes?: string;
      driveFile?: string;
      statements: Statements;
    };
    result: ImportResultDocument;
  };
  makeTrace: { input: { folder: string; file: string; key: string }; result: TraceDocument };
  identify: {
    input: {
      folder: string;
      file: string;
      driveFile: string;
      /** Of recording, choices and drive file: equal inputs are read once. */
      key: string;
      options: IdentifyOptionsDocument;
    };
    result: IdentifyResultDocument;
  };
  play: {
    input: {
      folder: string;
      /** Paths of the result and of the recording from the folder. */
      identification: string;
      file: string;
      /** Of the recording and what stands beside it. */
      key: string;
      tolerance?: number;
      average?: number;
      removeOffset?: boolean;
      flipTorque?: boolean;
      from?: number;
      to?: number;
      buckets: number;
    };
    result: PlayedDocument;
  };
  board: { input: { folder: string; today: string; units: UnitSystem }; result: BoardDocument };
  listIdentifications: { input: { folder: string }; result: IdentificationEntry[] };
  report: { input: { folder: string; date: string; units: UnitSystem }; result: string };
}
export type TaskName = keyof Tasks;
