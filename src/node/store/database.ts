import { availableParallelism } from 'node:os';
import { basename } from 'node:path';
import type { DuckDBConnection } from '@duckdb/node-api';
import { isTautlineError, TautlineError } from '../../engine/errors.js';
import { systemCode, writeError } from '../files/writeError.js';

export interface Database {
  readonly connection: DuckDBConnection;
  close(): void;
}

/** A text as an SQL literal. */
export const literal = (text: string): string => `'${text.replaceAll("'", "''")}'`;
/** The path of one file as an SQL literal for read_parquet, which takes the characters of patterns literally in brackets only. */
export const fileLiteral = (path: string): string => literal(asPattern(path));
const asPattern = (path: string): string => path.replace(/[[*?]/g, '[$&]');
/** A text as an SQL name. */
export const identifier = (text: string): string => `"${text.replaceAll('"', '""')}"`;

/** The path and its pattern: the database asks leave for what it is given and for what it then finds. */
const both = (path: string): string => `[${literal(path)}, ${fileLiteral(path)}]`;

/**
 * A database in memory that can reach one file or folder and nothing else, loads no extension and holds itself to some memory.
 * The package is loaded on the first call: what reads only text does not wait for it.
 */
export async function openDatabase(
  reach: { folder: string } | { file: string },
  memory_MB = 512,
): Promise<Database> {
  const { DuckDBInstance } = await import('@duckdb/node-api');
  const instance = await DuckDBInstance.create(':memory:', {
    memory_limit: `${memory_MB}MB`,
    threads: String(Math.min(4, availableParallelism())),
    autoinstall_known_extensions: 'false',
    autoload_known_extensions: 'false',
  });
  const connection = await instance.connect();
  if ('folder' in reach) {
    await connection.run(`SET temp_directory = ${literal(`${reach.folder}/spill`)}`);
    await connection.run(`SET allowed_directories = ${both(`${reach.folder}/`)}`);
  } else await connection.run(`SET allowed_paths = ${both(reach.file)}`);
  // texts without a zone are read as UTC, as the text importer does
  await connection.run("SET TimeZone = 'UTC'");
  await connection.run('SET enable_external_access = false');
  await connection.run('SET lock_configuration = true');
  return {
    connection,
    close: () => {
      connection.closeSync();
      instance.closeSync();
    },
  };
}

const textOf = (error: unknown): string =>
  (error instanceof Error ? error.message : String(error)).split('\n')[0];

/** A failure of the database while it writes `path`, in coded form. */
export function databaseWriteError(error: unknown, path: string): TautlineError {
  if (isTautlineError(error)) return error;
  const text = textOf(error);
  if (/no space left|disk full|file too large|ENOSPC/i.test(text))
    return writeError(Object.assign(new Error(text), { code: 'ENOSPC' }), path);
  if (/permission denied|read-only/i.test(text))
    return writeError(Object.assign(new Error(text), { code: 'EACCES' }), path);
  // a failure that has a code of the system passes with it
  return writeError(
    text === '' || systemCode(error) !== String(error)
      ? error
      : Object.assign(new Error(text), { code: text }),
    path,
  );
}

/** A failure of the database while it reads `path`, in coded form. */
export function databaseReadError(error: unknown, path: string): TautlineError {
  if (isTautlineError(error)) return error;
  const file = basename(path);
  return new TautlineError(
    'file_unreadable',
    { file: path, cause: textOf(error) },
    `${file} cannot be read as Parquet: ${textOf(error)}`,
    'check that the file is complete; import the recording again from its source if it is damaged',
  );
}
