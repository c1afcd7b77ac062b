import { randomBytes, type ScryptOptions, scrypt, timingSafeEqual } from 'node:crypto';
import { mkdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { TautlineError } from '../../engine/errors.js';
import { atomicWrite } from '../../node/files/atomicWrite.js';

/** A password as it is kept: its scrypt key, never itself. */
export interface PasswordRecord {
  readonly schema: 'tautline/password@1';
  readonly salt: string;
  readonly key: string;
  /** Cost of scrypt: memory and time grow with `cost`. */
  readonly cost: number;
  readonly blockSize: number;
}

const shortest = 12;
const longest = 200;
const keyBytes = 32;
/** 2^15 blocks of 8: 32 MiB and some 0.1 s a try. */
const cost = 2 ** 15;
const blockSize = 8;

function derive(
  password: string,
  salt: Buffer,
  options: Pick<ScryptOptions, 'cost' | 'blockSize'>,
): Promise<Buffer> {
  return new Promise((resolve, reject) =>
    // The same word typed on two systems may come in two forms of Unicode.
    scrypt(password.normalize('NFKC'), salt, keyBytes, { ...options, maxmem: 128 * 2 ** 20 }, (error, key) =>
      error ? reject(error) : resolve(key),
    ),
  );
}

/** @throws TautlineError password_unfit */
export async function hashPassword(password: string): Promise<PasswordRecord> {
  const length = [...password].length;
  if (length < shortest || length > longest)
    throw new TautlineError(
      'password_unfit',
      { characters: length },
      `the password has ${length} characters; it takes ${shortest} to ${longest}`,
      'take a sentence of four or five words',
    );
  const salt = randomBytes(16);
  const key = await derive(password, salt, { cost, blockSize });
  return {
    schema: 'tautline/password@1',
    salt: salt.toString('base64'),
    key: key.toString('base64'),
    cost,
    blockSize,
  };
}

/** Is it this password? Takes the same time wherever it differs. */
export async function isPassword(record: PasswordRecord, password: string): Promise<boolean> {
  if (password.length > 2 * longest) return false;
  const found = await derive(password, Buffer.from(record.salt, 'base64'), record);
  const expected = Buffer.from(record.key, 'base64');
  return found.length === expected.length && timingSafeEqual(found, expected);
}

const fileName = 'password.json';

/** Keeps a password for this account; only its owner may read the file. @throws TautlineError password_unfit, folder_not_writable ... */
export async function storePassword(ownFolder: string, password: string): Promise<string> {
  const record = await hashPassword(password);
  await mkdir(ownFolder, { recursive: true, mode: 0o700 });
  const path = join(ownFolder, fileName);
  await atomicWrite(path, `${JSON.stringify(record)}\n`, 0o600);
  return path;
}

/** The password of this account, undefined when none was set. */
export async function readPassword(ownFolder: string): Promise<PasswordRecord | undefined> {
  const text = await readFile(join(ownFolder, fileName), 'utf8').catch(() => undefined);
  if (text === undefined) return undefined;
  try {
    const data = JSON.parse(text) as Partial<PasswordRecord> | null;
    const isWhole =
      data?.schema === 'tautline/password@1' &&
      typeof data.salt === 'string' &&
      typeof data.key === 'string' &&
      Buffer.from(data.key, 'base64').length === keyBytes &&
      typeof data.cost === 'number' &&
      typeof data.blockSize === 'number';
    return isWhole ? (data as PasswordRecord) : undefined;
  } catch {
    return undefined;
  }
}
