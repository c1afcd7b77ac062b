import { isTautlineError } from '../../engine/errors.js';
import { readBoard } from '../../node/lineFolder/readBoard.js';
import { reportFolder } from '../../node/lineFolder/reportFolder.js';
import { makeTrace as madeTrace } from '../traces/makeTrace.js';
import { identifyTask } from './identifyTask.js';
import { importTask } from './importTask.js';
import { listIdentifications as listed } from './listIdentifications.js';
import { playTask } from './playTask.js';
import type { Handed, Outcome } from './pool.js';
import { propose as proposed } from './propose.js';
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

export const propose = task<'propose'>(({ file, statements }) => proposed(file, statements));
export const importRecording = task<'importRecording'>((input, { onProgress, check }) =>
  importTask(input, onProgress, check),
);
export const makeTrace = task<'makeTrace'>(({ folder, file, key }, { onProgress }) =>
  madeTrace(folder, file, key, onProgress),
);
export const identify = task<'identify'>((input, { onProgress }) => identifyTask(input, onProgress));
export const play = task<'play'>((input) => playTask(input));
export const board = task<'board'>(({ folder, today, units }) => readBoard(folder, { today, units }));
export const listIdentifications = task<'listIdentifications'>(({ folder }) => listed(folder));
export const report = task<'report'>(({ folder, date, units }) => reportFolder(folder, { date, units }));
