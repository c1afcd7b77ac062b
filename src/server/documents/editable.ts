import { createHash } from 'node:crypto';
import { mkdir, readFile } from 'node:fs/promises';
import { basename, dirname } from 'node:path';
import { isTautlineError, TautlineError } from '../../engine/errors.js';
import type { Finding } from '../../engine/findings.js';
import { readSmallBytes } from '../../node/documents/readSmallText.js';
import { atomicWrite } from '../../node/files/atomicWrite.js';
import { confinePath, unfitName } from '../../node/files/confinePath.js';
import { withFolderLock } from '../../node/files/withFolderLock.js';
import { writeError } from '../../node/files/writeError.js';
import { type ErrorDocument, errorDocument } from '../errorReply.js';

/** No hand-written document is larger. */
const largestBytes = 1024 * 1024;
/** How long a save waits for another writer of the folder [ms]. */
const patience = 3000;

/** A document as it stands on disk, with what it says when it can be read. */
export interface EditableDocument {
  readonly text: string;
  /** SHA-256 of its bytes. */
  readonly version: string;
  /** Present when the text is valid. */
  readonly document?: unknown;
  readonly findings: readonly Finding[];
  /** Why it cannot be used; with a document, something that it refers to cannot be read. */
  readonly error?: ErrorDocument;
}

/** A document in a place of its own kind, as it is listed. */
export interface ListedDocument {
  readonly name: string;
  readonly version?: string;
  readonly error?: ErrorDocument;
}

/** What a text says. */
export interface Understood {
  readonly document: unknown;
  readonly findings: readonly Finding[];
  readonly error?: TautlineError;
}

/** Reads a text. @throws TautlineError when it is not valid */
export type Understand = (text: string, file: string) => Understood | Promise<Understood>;

export const versionOf = (bytes: string | Uint8Array): string =>
  createHash('sha256').update(bytes).digest('hex');

/** A file of a place of the folder from a name that came from outside. @throws TautlineError path_outside_folder */
export function fileIn(place: string, name: string, ending: string): string {
  const why = unfitName(name) ?? (name.startsWith('.') ? 'it begins with a point' : undefined);
  if (why === undefined) return `${place}/${name}${ending}`;
  throw new TautlineError(
    'path_outside_folder',
    { place, name: name.replaceAll('\0', '\\0') },
    `no file in ${place} can have this name: ${why}`,
    'give a plain name without folder and ending',
  );
}

/** @throws TautlineError file_not_found, file_unreadable, document_too_large, path_outside_folder */
export async function readEditable(
  folder: string,
  file: string,
  understand: Understand,
): Promise<EditableDocument> {
  const path = await confinePath(folder, file);
  const bytes = await readSmallBytes(path, largestBytes);
  const text = bytes.toString('utf8');
  // of the bytes, not of the text: what is no UTF-8 is another text
  return { text, version: versionOf(bytes), ...(await understood(folder, text, file, understand)) };
}

async function understood(
  folder: string,
  text: string,
  file: string,
  understand: Understand,
): Promise<Pick<EditableDocument, 'document' | 'findings' | 'error'>> {
  try {
    const { document, findings, error } = await understand(text, basename(file));
    return { document, findings, ...(error && { error: errorDocument(error, folder) }) };
  } catch (error) {
    if (!isTautlineError(error)) throw error;
    return { findings: [], error: errorDocument(error, folder) };
  }
}

/** What a save rests on: the version that was changed, or that there is no such document yet. */
export type Condition = { readonly version: string } | 'new';

/** The condition of a request. @throws TautlineError request_invalid when it states none */
export function conditionOf(headers: { 'if-match'?: string; 'if-none-match'?: string }): Condition {
  if (headers['if-none-match']?.trim() === '*') return 'new';
  const version = /^\s*"?([0-9a-f]{64})"?\s*$/.exec(headers['if-match'] ?? '')?.[1];
  if (version !== undefined) return { version };
  throw new TautlineError(
    'request_invalid',
    { part: 'headers' },
    'a save must state the version that it changes',
    'send If-Match with the version of the document that was changed, or If-None-Match: * for a new one',
  );
}

/**
 * Writes a document, whole or not at all, unless it changed since the version that was edited or its new text is not valid.
 * @throws TautlineError conflict, folder_locked, disk_full ...; document_* for the text, with its line
 */
export async function writeEditable(
  folder: string,
  file: string,
  text: string,
  condition: Condition,
  understand: Understand,
): Promise<EditableDocument> {
  if (Buffer.byteLength(text) > largestBytes)
    throw new TautlineError(
      'document_too_large',
      { file, bytes: Buffer.byteLength(text) },
      `the document has ${Buffer.byteLength(text)} bytes; it may have ${largestBytes}`,
      'check that this is the document and not a recording',
    );
  const { document, findings, error } = await understand(text, basename(file));
  const path = await confinePath(folder, file);
  await withFolderLock(folder, patience, async () => {
    const current = await readFile(path).then(versionOf, () => undefined);
    if (current !== (condition === 'new' ? undefined : condition.version)) throw conflict(file, current);
    try {
      await mkdir(dirname(path), { recursive: true });
    } catch (cause) {
      throw writeError(cause, path);
    }
    await atomicWrite(path, text);
  });
  return {
    text,
    version: versionOf(text),
    document,
    findings,
    ...(error && { error: errorDocument(error, folder) }),
  };
}

const conflict = (file: string, version: string | undefined): TautlineError =>
  new TautlineError(
    'conflict',
    { file, version: version ?? 'none' },
    version === undefined
      ? `${file} is no longer there; nothing was written`
      : `${file} was changed by something else meanwhile; nothing was written`,
    'load it again and repeat the change on what is there now',
  );
