/**
 * Coded errors. An error names its code, the place, the offending value and the next step; the command line
 * turns the code's class into the exit code. docs/errors.md has a page a code, and a test keeps the two equal.
 */

/** Where something went wrong or was seen: file, row, column, key, time. Plain data, printable as JSON. */
export type Where = Readonly<Record<string, string | number | boolean | readonly (string | number)[]>>;

/**
 * Every error code with its exit class: 1 = the data do not allow it, 2 = wrong usage or unreadable input.
 * Text of what each means and what to do: docs/errors.md.
 */
export const errorCodes = {
  // a caller handed the engine something outside a function's stated validity
  argument_invalid: 2,
  // files
  file_not_found: 2,
  file_unreadable: 2,
  file_changed: 2,
  file_not_text: 2,
  line_too_long: 2,
  path_outside_folder: 2,
  folder_not_writable: 2,
  disk_full: 2,
  write_failed: 2,
  folder_locked: 2,
  // text tables
  dialect_unclear: 2,
  column_unknown: 2,
  // documents
  document_syntax: 2,
  document_too_large: 2,
  document_schema: 2,
  document_unknown_key: 2,
  document_version: 2,
  document_value: 2,
  document_reference: 2,
  document_duplicate_name: 2,
  // command line
  usage: 2,
  unit_unknown: 2,
  // workbench server
  address_unusable: 2,
  password_missing: 2,
  password_unfit: 2,
  unauthorised: 2,
  foreign_request: 2,
  request_invalid: 2,
  request_too_large: 2,
  not_found: 2,
  conflict: 2,
  // a defect of ours: reported with what to send us, never as a stack trace
  internal: 2,
} as const satisfies Record<string, 1 | 2>;

export type ErrorCode = keyof typeof errorCodes;

/** An error a person can act on. `next` is the one action that moves the job. */
export class TautlineError extends Error {
  override readonly name = 'TautlineError';
  constructor(
    readonly code: ErrorCode,
    readonly where: Where,
    message: string,
    readonly next: string,
  ) {
    super(message);
  }
  /** Exit code of a process that ends with this error. */
  get exitCode(): 1 | 2 {
    return errorCodes[this.code];
  }
}

/** True when an unknown thrown value is a coded error. */
export const isTautlineError = (e: unknown): e is TautlineError => e instanceof TautlineError;

/** The known word with the fewest edits (Levenshtein, case left aside), for the next step of an error; '' when none is known. */
export function nearest(word: string, known: readonly string[]): string {
  const distance = (a: string, b: string): number => {
    let row = Array.from({ length: b.length + 1 }, (_, j) => j);
    for (let i = 1; i <= a.length; i++) {
      const next = [i];
      for (let j = 1; j <= b.length; j++)
        next.push(Math.min(row[j] + 1, next[j - 1] + 1, row[j - 1] + (a[i - 1] === b[j - 1] ? 0 : 1)));
      row = next;
    }
    return row[b.length];
  };
  const lower = word.toLowerCase();
  return (
    [...known].sort((a, b) => distance(lower, a.toLowerCase()) - distance(lower, b.toLowerCase()))[0] ?? ''
  );
}
