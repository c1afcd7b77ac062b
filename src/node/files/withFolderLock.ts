import { setTimeout as wait } from 'node:timers/promises';
import { isTautlineError } from '../../engine/errors.js';
import { lockFolder } from './lockFolder.js';

/** Between two tries [ms]. */
const pause = 20;

/**
 * Does something while no other writer is in the folder. One that is there is waited for: writing a document takes milliseconds.
 * @param patience how long to wait [ms]
 * @throws TautlineError folder_locked after that, else as lockFolder and as what is done
 */
export async function withFolderLock<T>(
  folder: string,
  patience: number,
  action: () => Promise<T>,
): Promise<T> {
  const until = Date.now() + patience;
  for (;;) {
    try {
      const lock = await lockFolder(folder);
      try {
        return await action();
      } finally {
        await lock.release();
      }
    } catch (error) {
      if (!isTautlineError(error) || error.code !== 'folder_locked' || Date.now() >= until) throw error;
      await wait(pause);
    }
  }
}
