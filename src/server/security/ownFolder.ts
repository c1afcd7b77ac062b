import { createHash } from 'node:crypto';
import { mkdir, readFile, realpath, rm } from 'node:fs/promises';
import { homedir } from 'node:os';
import { join } from 'node:path';
import { atomicWrite } from '../../node/files/atomicWrite.js';
import { newToken } from './session.js';

/** Where this account keeps what belongs to no line folder: line folders are mailed, secrets are not. */
export function ownFolder(env: NodeJS.ProcessEnv = process.env): string {
  if (process.platform === 'win32' && env.APPDATA) return join(env.APPDATA, 'tautline');
  return join(env.XDG_CONFIG_HOME || join(homedir(), '.config'), 'tautline');
}

/** A token left by a server that was killed is taken up for this long [ms]. */
const lifetime = 24 * 3600 * 1000;

export interface KeptToken {
  readonly token: string;
  /** At a proper end: the token is worth nothing any more. */
  forget(): Promise<void>;
}

/**
 * The session token of a line folder. A new one, unless the last server on this folder was killed: then its pages go on where they were, as soon as
 * there is a server again. A folder that cannot be written costs only that.
 */
export async function keptToken(own: string, lineFolder: string): Promise<KeptToken> {
  const name = createHash('sha256')
    .update(await realpath(lineFolder))
    .digest('hex')
    .slice(0, 24);
  const path = join(own, 'sessions', `${name}.json`);
  const token = (await lastToken(path)) ?? newToken();
  try {
    await mkdir(join(own, 'sessions'), { recursive: true, mode: 0o700 });
    await atomicWrite(path, `${JSON.stringify({ token, made: Date.now() })}\n`, 0o600);
  } catch {
    // read-only home: a killed server's pages must be opened anew
  }
  return { token, forget: () => rm(path, { force: true }).catch(() => undefined) };
}

async function lastToken(path: string): Promise<string | undefined> {
  try {
    const { token, made } = JSON.parse(await readFile(path, 'utf8')) as { token?: unknown; made?: unknown };
    const isFresh = typeof made === 'number' && Math.abs(Date.now() - made) < lifetime;
    return isFresh && typeof token === 'string' && /^[\w-]{43}$/.test(token) ? token : undefined;
  } catch {
    return undefined;
  }
}
