import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { resolve } from 'node:path';
import { text } from 'node:stream/consumers';

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

/** As `tautline`, with something done to the process or its files once it has begun. */
export async function tautlineDuring(
  args: readonly string[],
  meanwhile: (pid: number) => Promise<void>,
): Promise<Run> {
  const child = spawn(process.execPath, [mainFile, ...args], { cwd: root });
  const ended = once(child, 'close');
  const printed = Promise.all([text(child.stdout), text(child.stderr)]);
  await meanwhile(child.pid ?? 0);
  const [out, err] = await printed;
  const [code] = await ended;
  return { code: typeof code === 'number' ? code : null, out, err };
}
