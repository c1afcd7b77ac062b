import type { Finding } from '../../engine/findings.js';
import type { RawColumn, Role, Source } from '../../engine/recording/recording.js';

/** What is known of a recording that has been made ready for drawing. Values are in the file's own units. */
export interface TraceDocument {
  readonly schema: 'tautline/trace@1';
  /** Path of the recording from the line folder. */
  readonly file: string;
  /** Checksum of the recording and of what stands beside it: another one, another trace. */
  readonly key: string;
  readonly samples: number;
  /** Seconds on the recording's own axis; where no column is the time, the number of the row. */
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

/** Files of a trace, in its folder. */
export const traceFiles = {
  document: 'trace.json',
  time: 'time.f64',
  /** Times at which the cells of all levels start, laid end to end. */
  starts: 'starts.f64',
  values: (column: number): string => `${column}.f64`,
  cells: (column: number): string => `${column}.cells.f64`,
} as const;

/** Where traces are kept, from the line folder. They may be deleted at any time and are then made anew. */
export const tracesPlace = '.tautline/traces';
