import type { Problem } from './types.js';

/** An answer of the server that is no success: what it says, and the next step. */
export class ApiError extends Error {
  override readonly name = 'ApiError';
  constructor(
    readonly status: number,
    readonly problem: Problem,
  ) {
    super(problem.message);
  }
}

const unreachable: Problem = {
  code: 'internal',
  message: 'the server does not answer',
  where: {},
  next: 'look whether tautline serve still runs; this page goes on by itself when it is back',
};

/** Anything thrown, as a problem that can be shown. */
export const problemOf = (error: unknown): Problem =>
  error instanceof ApiError
    ? error.problem
    : { ...unreachable, message: error instanceof Error ? error.message : String(error) };

async function ask(path: string, init?: RequestInit): Promise<Response> {
  let answer: Response;
  try {
    answer = await fetch(path, { credentials: 'same-origin', ...init });
  } catch {
    throw new ApiError(0, unreachable);
  }
  if (answer.ok) return answer;
  const body = (await answer.json().catch(() => undefined)) as { error?: Problem } | undefined;
  throw new ApiError(
    answer.status,
    body?.error ?? { ...unreachable, message: `the server answered ${answer.status} ${answer.statusText}` },
  );
}

export async function getJson<T>(path: string, signal?: AbortSignal): Promise<T> {
  return (await ask(path, signal ? { signal } : undefined)).json() as Promise<T>;
}

/** Doubles as the server sends them. */
export async function getBuckets(path: string, signal: AbortSignal): Promise<Float64Array> {
  return new Float64Array(await (await ask(path, { signal })).arrayBuffer());
}

/** Saves a document that rests on a version, or a new one; 409 as an {@link ApiError} when it changed meanwhile, and nothing is written. */
export async function putText<T>(path: string, text: string, version: string | undefined): Promise<T> {
  const answer = await ask(path, {
    method: 'PUT',
    headers: {
      'content-type': 'application/json',
      ...(version === undefined ? { 'if-none-match': '*' } : { 'if-match': `"${version}"` }),
    },
    body: JSON.stringify({ text }),
  });
  return answer.json() as Promise<T>;
}

/** Makes a document that is not there yet; 409 as an {@link ApiError} when it is. */
export async function createText<T>(path: string, text: string): Promise<T> {
  const answer = await ask(path, {
    method: 'PUT',
    headers: { 'content-type': 'application/json', 'if-none-match': '*' },
    body: JSON.stringify({ text }),
  });
  return answer.json() as Promise<T>;
}

export async function postJson<T>(path: string, body: unknown): Promise<T> {
  const answer = await ask(path, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(body),
  });
  return answer.json() as Promise<T>;
}

/** Takes something away, or ends it. */
export async function remove(path: string): Promise<void> {
  await ask(path, { method: 'DELETE' });
}

/** Sends a file as it is. @param onSent share of it that the server has */
export function sendFile<T>(
  path: string,
  file: Blob,
  onSent: (share: number) => void,
  signal: AbortSignal,
): Promise<T> {
  // fetch does not tell how far an upload is
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open('POST', path);
    request.setRequestHeader('content-type', 'application/octet-stream');
    request.responseType = 'json';
    request.upload.onprogress = (e) => onSent(e.total > 0 ? e.loaded / e.total : 0);
    request.onload = () => {
      const body = request.response as (T & { error?: Problem }) | null;
      if (request.status >= 200 && request.status < 300 && body) resolve(body);
      else
        reject(
          new ApiError(
            request.status,
            body?.error ?? { ...unreachable, message: `the server answered ${request.status}` },
          ),
        );
    };
    request.onerror = () => reject(new ApiError(0, unreachable));
    request.onabort = () => reject(new DOMException('stopped', 'AbortError'));
    signal.addEventListener('abort', () => request.abort());
    request.send(file);
  });
}
