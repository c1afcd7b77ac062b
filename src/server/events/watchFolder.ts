import { createHash } from 'node:crypto';
import { type FSWatcher, watch } from 'node:fs';
import { readdir, readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { confinePath } from '../../node/files/confinePath.js';

/** A file that was written, made or removed, by whomever. */
export interface Change {
  /** Path from the line folder. */
  readonly path: string;
  /** SHA-256 of its bytes; absent for a recording, which may be large, and null when the file is gone. */
  readonly version?: string | null;
}

export interface FolderWatch {
  close(): void;
}

/** Folders of a line folder that hold what the workbench shows; deeper ones and hidden ones hold nothing of it. */
const places = ['', 'drives', 'products', 'rolls', 'recordings', 'exports', 'identifications', 'handover'];
/** A file this large is no document. */
const largestDocument = 4 * 1024 * 1024;

export interface WatchOptions {
  /** Waited after the last sign of a change, so that a save of several steps is one [ms]. */
  readonly quiet?: number;
  /** Looked at even without a sign: network shares give none [ms]. */
  readonly every?: number;
}

/**
 * Tells of every change in a line folder. What the system says of changes is only taken as a sign to look: what counts is a file's size and times
 * against those of the last look, so nothing is told twice and nothing is missed where the system is silent.
 */
export async function watchFolder(
  folder: string,
  tell: (change: Change) => void,
  { quiet = 80, every = 4000 }: WatchOptions = {},
): Promise<FolderWatch> {
  const watchers = new Map<string, FSWatcher>();
  let known = await look(folder);
  let timer: NodeJS.Timeout | undefined;
  let looking = false;
  let again = false;
  let closed = false;

  const compare = async (): Promise<void> => {
    if (looking) {
      again = true;
      return;
    }
    looking = true;
    try {
      const now = await look(folder);
      const paths = new Set([...known.keys(), ...now.keys()]);
      const changed = [...paths].filter((path) => known.get(path) !== now.get(path)).sort();
      known = now;
      for (const path of changed) {
        const change = await changeOf(folder, path, now.has(path));
        if (!closed) tell(change);
      }
      if (!closed) arm();
    } finally {
      looking = false;
      if (again && !closed) {
        again = false;
        soon();
      }
    }
  };
  const soon = (): void => {
    if (closed) return;
    clearTimeout(timer);
    timer = setTimeout(() => void compare(), quiet);
  };
  /** A place that was made meanwhile is watched too; one that cannot be watched is looked at now and then. */
  const arm = (): void => {
    for (const place of places) {
      if (watchers.has(place)) continue;
      try {
        const watcher = watch(join(folder, place), { persistent: false }, soon);
        const drop = (): void => {
          watcher.close();
          if (watchers.get(place) === watcher) watchers.delete(place);
        };
        watcher.on('error', drop);
        watchers.set(place, watcher);
      } catch {
        // not there, or more watches than the system allows
      }
    }
  };
  arm();
  const regular = setInterval(() => void compare(), every);
  regular.unref();
  return {
    close: () => {
      closed = true;
      clearTimeout(timer);
      clearInterval(regular);
      for (const watcher of watchers.values()) watcher.close();
    },
  };
}

/** Size and times of every file by its path from the folder. */
async function look(folder: string): Promise<Map<string, string>> {
  const found = new Map<string, string>();
  for (const place of places) {
    // a link out of the folder is no place of it
    const inside = place === '' ? folder : await confinePath(folder, place).catch(() => undefined);
    if (inside === undefined) continue;
    for (const name of await readdir(inside).catch(() => [])) {
      if (name.startsWith('.')) continue;
      const s = await stat(join(inside, name), { bigint: true }).catch(() => undefined);
      if (s?.isFile())
        found.set(place === '' ? name : `${place}/${name}`, `${s.size} ${s.mtimeNs} ${s.ctimeNs} ${s.ino}`);
    }
  }
  return found;
}

async function changeOf(folder: string, path: string, isThere: boolean): Promise<Change> {
  if (!isThere) return { path, version: null };
  try {
    const inside = await confinePath(folder, path);
    if ((await stat(inside)).size > largestDocument) return { path };
    return {
      path,
      version: createHash('sha256')
        .update(await readFile(inside))
        .digest('hex'),
    };
  } catch {
    // gone or locked again in this moment; the next look says which
    return { path };
  }
}
