import { type FileHandle, open, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import {
  bucketsOf,
  cellsOf,
  type LevelPlace,
  levelFor,
  pyramidLevels,
} from '../../engine/recording/pyramid.js';
import { confinePath } from '../../node/files/confinePath.js';
import { type TraceDocument, traceFiles, tracesPlace } from './traceDocument.js';

/** The document of a trace, undefined where there is none yet or it was made by another version. */
export async function readTraceDocument(folder: string, key: string): Promise<TraceDocument | undefined> {
  try {
    const place = await confinePath(folder, `${tracesPlace}/${key}`);
    const data = JSON.parse(
      await readFile(join(place, traceFiles.document), 'utf8'),
    ) as Partial<TraceDocument>;
    return data.schema === 'tautline/trace@1' && data.key === key ? (data as TraceDocument) : undefined;
  } catch {
    return undefined;
  }
}

export interface Stretch {
  /** [start, min, max] a bucket. */
  readonly buckets: Float64Array;
  /** Samples of the recording that lie in the stretch. */
  readonly samples: number;
}

/**
 * Least and greatest values of a column between two times, in at most so many buckets. The range of every sample between the times is in one of
 * them; the first and the last may reach a little further. Reads a few hundred kB however long the recording is.
 */
export async function readStretch(
  folder: string,
  trace: TraceDocument,
  column: number,
  { from, to, buckets }: { from: number; to: number; buckets: number },
): Promise<Stretch> {
  const place = await confinePath(folder, `${tracesPlace}/${trace.key}`);
  const time = await open(join(place, traceFiles.time), 'r');
  try {
    const start = await firstIndex(time, trace.samples, (t) => t >= from);
    const end = await firstIndex(time, trace.samples, (t) => t > to);
    // one sample on either side, so that a line runs to the edges of the plot
    const first = Math.max(0, start - 1);
    const past = Math.min(trace.samples, Math.max(first + 1, end + 1));
    if (trace.samples === 0) return { buckets: new Float64Array(), samples: 0 };
    const level = levelFor(pyramidLevels(trace.samples), past - first, buckets);
    const { starts, cells } =
      level === undefined
        ? await readSamples(place, time, column, first, past)
        : await readCells(place, column, level, first, past);
    return { buckets: bucketsOf(starts, cells, buckets), samples: end - start };
  } finally {
    await time.close();
  }
}

interface Cells {
  readonly starts: Float64Array;
  readonly cells: Float64Array;
}

async function readSamples(
  place: string,
  time: FileHandle,
  column: number,
  first: number,
  past: number,
): Promise<Cells> {
  const starts = await readDoubles(time, first, past - first);
  const values = await readFrom(join(place, traceFiles.values(column)), first, past - first);
  return { starts, cells: cellsOf(values) };
}

async function readCells(
  place: string,
  column: number,
  { samples, offset }: LevelPlace,
  first: number,
  past: number,
): Promise<Cells> {
  const from = offset + Math.floor(first / samples);
  const count = offset + Math.ceil(past / samples) - from;
  return {
    starts: await readFrom(join(place, traceFiles.starts), from, count),
    cells: await readFrom(join(place, traceFiles.cells(column)), 2 * from, 2 * count),
  };
}

async function readFrom(path: string, from: number, count: number): Promise<Float64Array> {
  const handle = await open(path, 'r');
  try {
    return await readDoubles(handle, from, count);
  } finally {
    await handle.close();
  }
}

async function readDoubles(handle: FileHandle, from: number, count: number): Promise<Float64Array> {
  const out = new Float64Array(count);
  const bytes = new Uint8Array(out.buffer);
  for (let at = 0; at < bytes.length; ) {
    const { bytesRead } = await handle.read(bytes, at, bytes.length - at, 8 * from + at);
    if (bytesRead === 0) throw new Error('a trace is shorter than its document says');
    at += bytesRead;
  }
  return out;
}

/** Index of the first sample that is past a time; the number of samples when none is. */
async function firstIndex(
  time: FileHandle,
  samples: number,
  isPast: (t: number) => boolean,
): Promise<number> {
  let low = 0;
  let high = samples;
  while (low < high) {
    const middle = (low + high) >> 1;
    const [t] = await readDoubles(time, middle, 1);
    if (isPast(t)) high = middle;
    else low = middle + 1;
  }
  return low;
}
