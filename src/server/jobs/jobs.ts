import { createHash } from 'node:crypto';
import { access } from 'node:fs/promises';
import { join } from 'node:path';
import { codedError, type ErrorDocument, errorDocument } from '../errorReply.js';
import type { Progress } from './tasks.js';

export type JobState = 'queued' | 'running' | 'done' | 'failed' | 'cancelled';

/** A job as it is told. */
export interface JobDocument {
  readonly id: string;
  readonly kind: string;
  readonly state: JobState;
  readonly progress: Progress;
  readonly result?: unknown;
  readonly error?: ErrorDocument;
}

interface Job {
  readonly id: string;
  readonly kind: string;
  state: JobState;
  progress: Progress;
  result?: unknown;
  error?: ErrorDocument;
  readonly abort: AbortController;
}

/** Ended jobs that are remembered, so that a page that was loaded anew finds its result. */
const mostEnded = 50;
/** Between two messages about the progress of one job [ms]. */
const quiet = 100;

const hasEnded = (state: JobState): boolean => state !== 'queued' && state !== 'running';

/**
 * Long work by the hash of what it is made from: the same work asked for twice is one job, whoever asks. Lives in memory: a job is gone with the
 * server, what it stored is not.
 */
export class Jobs {
  private readonly jobs = new Map<string, Job>();

  /** @param tell called when a state or a progress changes */
  constructor(
    private readonly folder: string,
    private readonly tell: (job: JobDocument) => void,
  ) {}

  /**
   * Starts a job, or finds the one with the same inputs. One that failed or was cancelled is started again.
   * @param inputs everything that the result depends on, as plain data
   */
  start(
    kind: string,
    inputs: unknown,
    run: (signal: AbortSignal, onProgress: (progress: Progress) => void) => Promise<unknown>,
  ): string {
    const id = idOf(kind, inputs);
    const before = this.jobs.get(id);
    if (before !== undefined && before.state !== 'failed' && before.state !== 'cancelled') return id;
    const job: Job = {
      id,
      kind,
      state: 'queued',
      progress: { done: 0, total: 1, words: 'waiting' },
      abort: new AbortController(),
    };
    // at the end of the order in which they are forgotten
    this.jobs.delete(id);
    this.jobs.set(id, job);
    void this.see(job, run);
    this.forgetOldest();
    return id;
  }

  /**
   * The job with these inputs that is under way or done, undefined when it is to be done (again). One is forgotten whose written file is no longer
   * there.
   */
  async known(kind: string, inputs: unknown): Promise<string | undefined> {
    const job = this.jobs.get(idOf(kind, inputs));
    if (job === undefined || job.state === 'failed' || job.state === 'cancelled') return undefined;
    const file = writtenBy(job.result);
    const isThere = (path: string): Promise<boolean> =>
      access(path).then(
        () => true,
        () => false,
      );
    if (file === undefined || (await isThere(join(this.folder, file)))) return job.id;
    this.jobs.delete(job.id);
    return undefined;
  }

  get(id: string): JobDocument | undefined {
    const job = this.jobs.get(id);
    return job && told(job);
  }

  /** Stops a job. One that has ended stays as it is. @returns the job, undefined when there is none */
  cancel(id: string): JobDocument | undefined {
    const job = this.jobs.get(id);
    if (job === undefined) return undefined;
    if (!hasEnded(job.state)) {
      this.end(job, 'cancelled');
      job.abort.abort();
    }
    return told(job);
  }

  /** Stops everything. */
  close(): void {
    for (const id of this.jobs.keys()) this.cancel(id);
  }

  private async see(job: Job, run: Parameters<Jobs['start']>[2]): Promise<void> {
    let last = 0;
    const onProgress = (progress: Progress): void => {
      if (hasEnded(job.state)) return;
      const isNews = job.state === 'queued' || progress.words !== job.progress.words;
      job.state = 'running';
      job.progress = progress;
      if (!isNews && Date.now() - last < quiet) return;
      last = Date.now();
      this.tell(told(job));
    };
    try {
      const result = await run(job.abort.signal, onProgress);
      if (hasEnded(job.state)) return;
      job.result = result;
      job.progress = { ...job.progress, done: job.progress.total };
      this.end(job, 'done');
    } catch (error) {
      if (hasEnded(job.state)) return;
      const coded = codedError(error);
      if (coded.code === 'internal') process.stderr.write(`job ${job.kind}: ${String(error)}\n`);
      job.error = errorDocument(coded, this.folder);
      this.end(job, 'failed');
    }
  }

  private end(job: Job, state: JobState): void {
    job.state = state;
    this.tell(told(job));
  }

  private forgetOldest(): void {
    const ended = [...this.jobs.values()].filter((job) => hasEnded(job.state));
    for (const job of ended.slice(0, Math.max(0, ended.length - mostEnded))) this.jobs.delete(job.id);
  }
}

const idOf = (kind: string, inputs: unknown): string =>
  createHash('sha256')
    .update(JSON.stringify([kind, inputs]))
    .digest('hex')
    .slice(0, 32);

/** Path from the line folder of what a job wrote, undefined when it wrote nothing. */
function writtenBy(result: unknown): string | undefined {
  const { written, stored } = (result ?? {}) as { written?: { data: string }; stored?: string };
  return written?.data ?? (stored === undefined ? undefined : `identifications/${stored}.json`);
}

const told = ({ id, kind, state, progress, result, error }: Job): JobDocument => ({
  id,
  kind,
  state,
  progress,
  ...(result !== undefined && { result }),
  ...(error !== undefined && { error }),
});
