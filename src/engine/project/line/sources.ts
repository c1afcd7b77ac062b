import type { Drive } from '../../line/drive.js';
import type { MeasuredDrive } from '../../line/line.js';

/** What a line document refers to, read beforehand: the engine opens no files. Keys are the paths as the document states them. */
export interface LineSources {
  readonly drives: ReadonlyMap<string, Drive>;
  /** Identifications by the path of their own, or by the path of the drive file that they are the latest of. */
  readonly measured: ReadonlyMap<string, MeasuredDrive>;
}

export const noSources: LineSources = { drives: new Map(), measured: new Map() };
