import { sep } from 'node:path';
import type { FastifyError, FastifyReply, FastifyRequest } from 'fastify';
import { type ErrorCode, isTautlineError, TautlineError } from '../engine/errors.js';

/** Status of HTTP by code; what is not listed is a fault of what was sent. */
const statuses: Partial<Record<ErrorCode, number>> = {
  unauthorised: 401,
  foreign_request: 403,
  file_not_found: 404,
  not_found: 404,
  conflict: 409,
  document_too_large: 413,
  request_too_large: 413,
  folder_locked: 423,
  internal: 500,
  file_unreadable: 500,
  folder_not_writable: 500,
  write_failed: 500,
  disk_full: 507,
};

export const statusOf = (error: TautlineError): number => statuses[error.code] ?? 400;

/** A coded error as it is sent: plain data. */
export interface ErrorDocument {
  readonly code: string;
  readonly message: string;
  readonly where: Readonly<Record<string, unknown>>;
  readonly next: string;
}

/** @param folder the line folder: where it lies on the machine is nobody's business, so paths are told from it */
export function errorDocument({ code, message, where, next }: TautlineError, folder: string): ErrorDocument {
  const plain = (text: string): string =>
    text.replaceAll(`${folder}${sep}`, '').replaceAll(folder, 'the line folder');
  return {
    code,
    message: plain(message),
    where: Object.fromEntries(
      Object.entries(where).map(([key, value]) => [key, typeof value === 'string' ? plain(value) : value]),
    ),
    next: plain(next),
  };
}

/** Anything thrown as a coded error. What is not ours is a defect: its text goes to the log, not to the page. */
export function codedError(error: unknown): TautlineError {
  if (isTautlineError(error)) return error;
  const { statusCode, code, message, validation, validationContext } = error as Partial<FastifyError>;
  if (validation !== undefined)
    return new TautlineError(
      'request_invalid',
      { part: validationContext ?? 'request' },
      String(message),
      'send the request in the form that /api/openapi.json describes',
    );
  if (code === 'FST_ERR_CTP_BODY_TOO_LARGE')
    return new TautlineError(
      'request_too_large',
      {},
      'the request is larger than the server takes',
      'send less at once; a document has at most 1 MiB',
    );
  if (typeof statusCode === 'number' && statusCode >= 400 && statusCode < 500)
    return new TautlineError(
      'request_invalid',
      {},
      String(message),
      'send the request in the form that /api/openapi.json describes',
    );
  return new TautlineError(
    'internal',
    {},
    'something went wrong that this program did not foresee',
    'please report it with what you did and with what the terminal of the server shows',
  );
}

/** Answers with the coded error of whatever was thrown. */
export function replyError(
  error: unknown,
  folder: string,
  request: FastifyRequest,
  reply: FastifyReply,
): FastifyReply {
  const coded = codedError(error);
  if (coded.code === 'internal') process.stderr.write(`${request.method} ${request.url}: ${textOf(error)}\n`);
  return reply
    .code(statusOf(coded))
    .header('cache-control', 'no-store')
    .send({ error: errorDocument(coded, folder) });
}

const textOf = (error: unknown): string =>
  error instanceof Error ? (error.stack ?? error.message) : String(error);
