import { isTautlineError, TautlineError } from '../engine/errors.js';
import type { Finding } from '../engine/findings.js';

/**
 * The contract of every command: with --json one JSON document on stdout and nothing else; progress and messages on
 * stderr; exit code 0 done, 1 refused by the data, 2 wrong usage or unreadable input. Never a stack trace.
 */
export interface CommandResult {
  /** The JSON document. */
  readonly document: unknown;
  /** What a person reads on a terminal; made only when asked for. */
  readonly text: () => string;
  readonly refused: boolean;
  /** Something that was asked for could not be read, although the rest was done. */
  readonly unreadable?: boolean;
}

/** Runs a command, prints its result and sets the exit code. */
export async function runCommand(json: boolean, command: () => Promise<CommandResult>): Promise<void> {
  try {
    const result = await command();
    const out = json ? `${JSON.stringify(result.document, null, 2)}\n` : `${result.text()}\n`;
    process.exitCode = result.unreadable ? 2 : result.refused ? 1 : 0;
    await writeOut(out);
  } catch (error) {
    reportError(json, asTautlineError(error));
  }
}

/** Waits until a pipe has taken everything; a reader that closes early (head) is no error. */
function writeOut(text: string): Promise<void> {
  return new Promise((resolve, reject) => {
    process.stdout.once('error', (e: NodeJS.ErrnoException) => (e.code === 'EPIPE' ? resolve() : reject(e)));
    process.stdout.write(text, () => resolve());
  });
}

export function reportError(json: boolean, error: TautlineError): void {
  const { code, message, where, next } = error;
  process.exitCode = error.exitCode;
  if (json)
    process.stdout.write(
      `${JSON.stringify({ schema: 'tautline/error@1', error: { code, message, where, next } }, null, 2)}\n`,
    );
  process.stderr.write(`error (${code}): ${message}${placeText(where)}\nnext: ${next}\n`);
}

const placeText = (where: TautlineError['where']): string => {
  const parts = Object.entries(where).map(([k, v]) => `${k} ${String(v)}`);
  return parts.length === 0 ? '' : ` [${parts.join(', ')}]`;
};

/** Anything thrown as a coded error; what is not ours is a defect and says so. */
export function asTautlineError(error: unknown): TautlineError {
  if (isTautlineError(error)) return error;
  const message = error instanceof Error ? error.message : String(error);
  return new TautlineError(
    'internal',
    {},
    `something went wrong that this program did not foresee: ${message}`,
    'please report it with the file and the command that led to it',
  );
}

const signs = { refuse: '✗', warn: '!', info: '·' } as const;

/** Findings as lines, worst first. */
export function findingLines(findings: readonly Finding[]): string[] {
  const order = { refuse: 0, warn: 1, info: 2 };
  return [...findings]
    .sort((a, b) => order[a.severity] - order[b.severity])
    .flatMap((f) => [
      `  ${signs[f.severity]} ${f.code}: ${f.message}${typeof f.where.line === 'number' ? ` [line ${f.where.line}]` : ''}`,
      ...(f.severity === 'info' ? [] : [`      next: ${f.next}`]),
    ]);
}
