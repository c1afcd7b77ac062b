import type { Finding } from '../../engine/findings.js';

/** Why a line of the table was not taken as a row. */
const skipReasons = {
  blank: 'blank line',
  short: 'fewer cells than columns',
  long: 'more cells than columns',
  text: 'text in place of values (a header, a unit row or a remark between the rows)',
  comment: 'comment line',
  summary: 'line that sums up or ends the table',
  unclosed: 'quotation mark that is never closed',
} as const;
export type SkipReason = keyof typeof skipReasons;

/** Counts the lines that were not taken, by reason, with the first line of each. */
export class SkippedLines {
  private readonly byReason = new Map<SkipReason, { count: number; line: number; text: string }>();
  private blanks = 0;
  private firstBlank = 0;

  add(reason: SkipReason, line: number, text: string, lines = 1): void {
    this.settle();
    this.count(reason, lines, line, text);
  }

  /** A blank line counts only when something follows it: those at the end of a file are no rows. */
  addBlank(line: number): void {
    if (this.blanks++ === 0) this.firstBlank = line;
  }

  /** Something follows the blank lines seen so far. */
  settle(): void {
    if (this.blanks === 0) return;
    this.count('blank', this.blanks, this.firstBlank, '');
    this.blanks = 0;
  }

  private count(reason: SkipReason, n: number, line: number, text: string): void {
    const entry = this.byReason.get(reason);
    if (entry) entry.count += n;
    else this.byReason.set(reason, { count: n, line, text });
  }

  findings(file: string): Finding[] {
    return [...this.byReason].map(([reason, { count, line, text }]) => ({
      code: 'rows_skipped',
      severity: reason === 'short' || reason === 'long' || reason === 'unclosed' ? 'warn' : 'info',
      message: `${file}: ${count} ${count === 1 ? 'line' : 'lines'} not taken as rows: ${skipReasons[reason]}, first at line ${line}${text === '' ? '' : ` ("${text}")`}`,
      where: { file, reason: skipReasons[reason], rows: count, line },
      next: 'look at the line in the file; if it holds samples, correct it and import again',
    }));
  }
}
