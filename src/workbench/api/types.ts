import type { ErrorCode, Where } from '../../engine/errors.js';
import type { Finding, Verdict } from '../../engine/findings.js';
import type { IdentificationDocument } from '../../engine/project/identification.js';
import type { Dialect, RawColumn, Role, Source } from '../../engine/recording/recording.js';

/** What is wrong and what moves on, as the server says it. */
export interface Problem {
  readonly code: ErrorCode;
  readonly message: string;
  readonly where: Where;
  readonly next: string;
}

export interface FolderInfo {
  readonly name: string;
  readonly line?: string;
  readonly invented: boolean;
  readonly programVersion: string;
  readonly error?: Problem;
}

/** A document of the folder as it stands on disk. `T` is its SI form, there only while the text is valid. */
export interface Editable<T> {
  readonly text: string;
  readonly version: string;
  readonly document?: T;
  readonly findings: readonly Finding[];
  readonly error?: Problem;
}

/** A document that there may not be yet: then without a version. */
export type MaybeEditable<T> = Omit<Editable<T>, 'version'> & { readonly version?: string };

export interface ListedDocument {
  readonly name: string;
  readonly version?: string;
  readonly error?: Problem;
}

export interface ListedIdentification {
  readonly name: string;
  readonly drive: string;
  readonly visit: string;
  readonly version: string;
  readonly verdict?: Verdict;
  /** May line, feed-forward and programs rest on it? */
  readonly standsForDrive?: boolean;
  readonly staleBecause: readonly {
    readonly input: string;
    readonly file: string;
    readonly message: string;
  }[];
}

export interface FolderChange {
  readonly path: string;
  readonly version?: string | null;
}

/** A recording that is ready for drawing: columns in the file's own units, and its axis. */
export interface RecordingTrace {
  readonly file: string;
  /** Another one, another recording. */
  readonly key: string;
  readonly samples: number;
  /** Seconds; where no column is the time, the number of the row. */
  readonly time: {
    readonly unit: 's' | 'row';
    readonly header: string;
    readonly from: number;
    readonly to: number;
  };
  readonly columns: readonly TraceColumn[];
  readonly findings: readonly Finding[];
  readonly source: Source;
}

export interface TraceColumn {
  readonly header: string;
  readonly unit?: string;
  readonly kind: RawColumn['kind'];
  readonly role?: Role;
}

/** A recording of the folder as it is listed. */
export interface ListedRecording {
  /** Name to ask for it by. */
  readonly name: string;
  /** Path from the line folder. */
  readonly file: string;
  readonly kind: 'imported' | 'export';
  /** Drive and visit that its name states. */
  readonly drive?: string;
  readonly visit?: string;
  readonly bytes: number;
  readonly rows?: number;
  readonly channels?: Readonly<Partial<Record<Role, string>>>;
  readonly sha256?: string;
  readonly error?: Problem;
}

/** What a person states about the columns and the text of a dropped file. */
export interface Statements {
  readonly channels?: Partial<Record<Role, string>>;
  readonly units?: Partial<Record<Role, string>>;
  readonly sampleInterval?: number;
  readonly dialect?: Partial<Dialect>;
  readonly headerRow?: number;
}

/** How a dropped file would be read. */
export interface Proposal {
  readonly file: string;
  readonly bytes: number;
  readonly dialect?: Dialect;
  readonly text: readonly string[];
  readonly columns: readonly TraceColumn[];
  /** First rows; null where a cell holds no number. */
  readonly rows: readonly (readonly (number | null)[])[];
  readonly questions: readonly Question[];
  readonly findings: readonly Finding[];
}

/** What the file does not say. */
export interface Question {
  readonly kind: 'unit' | 'column';
  readonly role: Role;
  readonly header?: string;
  readonly choices: readonly string[];
  readonly message: string;
  /** False where the recording is of use without the answer. */
  readonly needed: boolean;
}

export interface Proposed {
  readonly upload: string;
  readonly proposal: Proposal;
}

export interface Job<Result> {
  readonly id: string;
  readonly kind: string;
  readonly state: 'queued' | 'running' | 'done' | 'failed' | 'cancelled';
  readonly progress: { readonly done: number; readonly total: number; readonly words: string };
  readonly result?: Result;
  readonly error?: Problem;
}

export interface ImportResult {
  readonly verdict: 'imported' | 'refused';
  readonly name?: string;
  readonly written?: { readonly data: string; readonly document: string };
  readonly findings: readonly Finding[];
}

type Plotted = readonly (number | null)[];

/** What an identification gives; samples are thinned, null where there is none. */
export interface IdentifyResult {
  readonly document: IdentificationDocument;
  readonly trace?: {
    readonly time_s: Plotted;
    readonly speed_rad_per_s: Plotted;
    readonly torque_Nm: Plotted;
    readonly torqueFitted_Nm: Plotted;
  };
  /** Name under which it was kept. */
  readonly stored?: string;
}
