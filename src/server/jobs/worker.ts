import { isTautlineError } from '../../engine/errors.js';
import type { Handed, Outcome } from './pool.js';
import type { Progress, TaskName, Tasks } from './tasks.js';

/** What a task has beside its input. */
interface Hands {
  readonly onProgress: (progress: Progress) => void;
  /** Throws when the task is to stop. */
  readonly check: () => void;
}

/** A task as the pool calls it: its errors come back as data, since they lose their class on the way. */
const task =
  <K extends TaskName>(work: (input: Tasks[K]['input'], hands: Hands) => Promise<Tasks[K]['result']>) =>
  async ({ input, port, stop }: Handed<K>): Promise<Outcome<K>> => {
    const flag = new Int32Array(stop);
    const check = (): void => {
      if (Atomics.load(flag, 0) !== 0) throw new Error('stopped');
    };
    try {
      return { value: await work(input, { onProgress: (progress) => port.postMessage(progress), check }) };
    } catch (error) {
      if (isTautlineError(error)) {
        const { code, where, message, next } = error;
        return { error: { code, where, message, next } };
      }
      throw error;
    } finally {
      port.close();
    }
  };

// Each task loads what it needs when it is first asked for: a thread is there for the first board before it knows how to import a recording.
export const propose = task<'propose'>(async ({ file, statements }) =>
  (await import('./propose.js')).propose(file, statements),
);
export const importRecording = task<'importRecording'>(async (input, { onProgress, check }) =>
  (await import('./importTask.js')).importTask(input, onProgress, check),
);
export const makeTrace = task<'makeTrace'>(async ({ folder, file, key }, { onProgress }) =>
  (await import('../traces/makeTrace.js')).makeTrace(folder, file, key, onProgress),
);
export const identify = task<'identify'>(async (input, { onProgress }) =>
  (await import('./identifyTask.js')).identifyTask(input, onProgress),
);
export const play = task<'play'>(async (input) => (await import('./playTask.js')).playTask(input));
export const board = task<'board'>(async ({ folder, today, units }) =>
  (await import('../../node/lineFolder/readBoard.js')).readBoard(folder, { today, units }),
);
export const listIdentifications = task<'listIdentifications'>(async ({ folder }) =>
  (await import('./listIdentifications.js')).listIdentifications(folder),
);
export const report = task<'report'>(async ({ folder, date, units }) =>
  (await import('../../node/lineFolder/reportFolder.js')).reportFolder(folder, { date, units }),
);
