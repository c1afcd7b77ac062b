import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import { MessageChannel, type MessagePort } from 'node:worker_threads';
import { Piscina } from 'piscina';
import { TautlineError } from '../../engine/errors.js';
import type { Progress, TaskName, Tasks } from './tasks.js';

/** What a worker gets beside the input of its task. */
export interface Handed<K extends TaskName> {
  readonly input: Tasks[K]['input'];
  readonly port: MessagePort;
  /** One 32-bit number; not 0 once the task is to stop. */
  readonly stop: SharedArrayBuffer;
}

/** Errors lose their class between threads, so they cross as plain data. */
export type Outcome<K extends TaskName> =
  | { readonly value: Tasks[K]['result'] }
  | { readonly error: Pick<TautlineError, 'code' | 'where' | 'message' | 'next'> };

export interface RunOptions {
  readonly signal?: AbortSignal;
  readonly onProgress?: (progress: Progress) => void;
  /** The task writes to the folder: it is asked to stop and not ended in the middle, which would leave its lock behind. */
  readonly isGentle?: boolean;
}

/** What a page waits for: it must not queue behind an import of minutes. */
const quick: ReadonlySet<TaskName> = new Set([
  'propose',
  'makeTrace',
  'play',
  'board',
  'listIdentifications',
  'report',
]);

const threads = (most: number): Piscina =>
  new Piscina({
    filename: fileURLToPath(new URL('./worker.js', import.meta.url)),
    minThreads: 1,
    maxThreads: most,
    idleTimeout: 60_000,
    // a recording in memory is far larger than the default
    resourceLimits: { maxOldGenerationSizeMb: 4096 },
  });

/** Worker threads for everything that takes longer than a click may. */
export class Pool {
  private readonly questions = threads(2);
  /** Started when they are first needed, so that they do not stand in the way of the first board. */
  private jobs: Piscina | undefined;
  /** One thread, so that it still holds the recording when another stretch is taken out of it. */
  private identifying: Piscina | undefined;

  /** @throws what the task throws; an AbortError when it was stopped */
  async run<K extends TaskName>(
    name: K,
    input: Tasks[K]['input'],
    { signal, onProgress, isGentle = false }: RunOptions = {},
  ): Promise<Tasks[K]['result']> {
    const { port1, port2 } = new MessageChannel();
    const stop = new SharedArrayBuffer(4);
    const flag = (): void => {
      Atomics.store(new Int32Array(stop), 0, 1);
    };
    signal?.addEventListener('abort', flag);
    port1.on('message', (progress: Progress) => onProgress?.(progress));
    port1.unref();
    try {
      const handed: Handed<K> = { input, port: port2, stop };
      const outcome = (await this.threadsFor(name).run(handed, {
        name,
        transferList: [port2],
        ...(signal && !isGentle && { signal }),
      })) as Outcome<K>;
      if ('value' in outcome) return outcome.value;
      const { code, where, message, next } = outcome.error;
      if (signal?.aborted) throw new DOMException('stopped', 'AbortError');
      throw new TautlineError(code, where, message, next);
    } finally {
      signal?.removeEventListener('abort', flag);
      port1.close();
    }
  }

  private threadsFor(name: TaskName): Piscina {
    if (quick.has(name)) return this.questions;
    if (name === 'identify') {
      this.identifying ??= threads(1);
      return this.identifying;
    }
    this.jobs ??= threads(Math.max(1, Math.min(4, availableParallelism() - 1)));
    return this.jobs;
  }

  /** Waits for nothing: what is under way is dropped. */
  async close(): Promise<void> {
    await Promise.all([this.questions, this.jobs, this.identifying].map((threads) => threads?.destroy()));
  }
}
