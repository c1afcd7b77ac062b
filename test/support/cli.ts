import { spawnSync } from 'node:child_process';
import { resolve } from 'node:path';

const root = resolve(import.meta.dirname, '../..');
export const mainFile = resolve(root, 'dist/cli/main.js');

/** Builds what the command line needs; little work when it is up to date. For beforeAll. */
export function buildProgram(): void {
  const built = spawnSync(process.execPath, [resolve(root, 'node_modules/typescript/bin/tsc'), '-b'], {
    cwd: root,
    encoding: 'utf8',
  });
  if (built.status !== 0) throw new Error(`the program does not build:\n${built.stdout}${built.stderr}`);
}

export interface Run {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

/** Runs the built program in a process of its own. */
export function tautline(args: readonly string[], cwd = root): Run {
  const run = spawnSync(process.execPath, [mainFile, ...args], { cwd, encoding: 'utf8', timeout: 50_000 });
  return { code: run.status, out: run.stdout, err: run.stderr };
}
