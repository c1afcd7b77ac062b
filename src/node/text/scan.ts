import { TautlineError } from '../../engine/errors.js';
import { COMMA, CR, DOT, LF, QUOTE } from './bytes.js';
import type { ColumnReader } from './columnReader.js';
import { decodeCell, type Encoding } from './encoding.js';
import { exactPowersOfTen } from './number.js';
import { CellKind } from './plan.js';
import { SkippedLines, type SkipReason } from './skipped.js';
import { isComment, isQualityWord, isSummaryLabel } from './words.js';

export interface ScanSettings {
  readonly file: string;
  readonly separator: number;
  readonly decimal: number;
  readonly encoding: Encoding;
  readonly readers: readonly ColumnReader[];
  /** Column of the result that each column of the file belongs to: a date and its clock time share one. */
  readonly outputOf: Int32Array;
  readonly batchRows: number;
  readonly firstLine: number;
  readonly maxBytesPerLine: number;
}

/**
 * Reads rows from bytes straight into columns of doubles. Bytes come in pieces of any size; a row that a piece cuts off is read
 * again from its start when the next piece is there, so the result does not depend on the pieces.
 */
export class Scanner {
  /** Values of the batch, column after column: cell of column c in row r at c * stride + r. */
  readonly values: Float64Array;
  /**
   * Values from one column to the next: not a power of two, or the cells of a row would all fall into the same few lines of the
   * processor's cache.
   */
  readonly stride: number;
  /** Rows in the batch. */
  rows = 0;
  readonly skipped = new SkippedLines();
  /** Bytes of the rows read so far. */
  get bytesRead(): number {
    return this.pushed - (this.end - this.start);
  }
  private pushed = 0;

  private buf = new Uint8Array(1);
  private start = 0;
  private end = 0;
  private line: number;
  private skipLF = false;
  private atEnd = false;
  private readonly width: number;
  // cells of the row without value: column, bytes, why
  private missing = 0;
  private readonly missingColumn: Int32Array;
  private readonly missingFrom: Int32Array;
  private readonly missingTo: Int32Array;
  private readonly missingWhy: Uint8Array;
  private extraFilled = false;
  private linesInCells = 0;

  constructor(private readonly settings: ScanSettings) {
    this.width = settings.readers.length;
    this.stride = settings.batchRows + 24;
    this.values = new Float64Array(this.width * this.stride);
    this.line = settings.firstLine;
    this.missingColumn = new Int32Array(this.width);
    this.missingFrom = new Int32Array(this.width);
    this.missingTo = new Int32Array(this.width);
    this.missingWhy = new Uint8Array(this.width);
  }

  /** Adds bytes behind those not yet read. A zero byte stands behind the last as a guard that is neither digit nor separator. */
  push(chunk: Uint8Array): void {
    const left = this.end - this.start;
    const need = left + chunk.length + 2;
    if (need > this.buf.length) {
      const larger = new Uint8Array(Math.max(need, 2 * this.buf.length));
      larger.set(this.buf.subarray(this.start, this.end));
      this.buf = larger;
    } else this.buf.copyWithin(0, this.start, this.end);
    this.buf.set(chunk, left);
    this.start = 0;
    this.end = left + chunk.length;
    this.pushed += chunk.length;
    this.buf[this.end] = 0;
  }

  /** No more bytes come: a last line without line end is complete. */
  finish(): void {
    this.atEnd = true;
    const last = this.end > this.start ? this.buf[this.end - 1] : LF;
    if (last !== LF && last !== CR) {
      this.buf[this.end++] = LF;
      this.buf[this.end] = 0;
    }
  }

  /** Reads rows until the batch is full (true) or the bytes run out (false). */
  scan(): boolean {
    const { buf, end, width, values, stride } = this;
    const { batchRows, separator, readers, maxBytesPerLine } = this.settings;
    const decimal = this.settings.decimal === separator ? -1 : this.settings.decimal;
    // the bytes of bytes.ts as literals: the compiler folds these, but reads an imported constant through its module at every use
    const zero = 48;
    const lf = 10;
    const cr = 13;
    const minus = 45;
    const powers = exactPowersOfTen;
    const numeric = Uint8Array.from(readers, (r) => (r.kind === CellKind.number ? 1 : 0));
    let pos = this.start;
    let row = this.rows;
    rows: while (row < batchRows && pos < end) {
      if (this.skipLF) {
        this.skipLF = false;
        if (buf[pos] === lf) {
          this.start = ++pos;
          continue;
        }
      }
      this.missing = 0;
      this.extraFilled = false;
      this.linesInCells = 0;
      let c = 0;
      let at = row;
      let p = pos;
      for (;;) {
        let b = buf[p]!;
        let read = false;
        if (c < width && numeric[c] === 1) {
          // the common cell: sign, digits, decimal sign, digits, in exact arithmetic (see parseNumber)
          let q = p;
          const negative = b === minus;
          if (negative) b = buf[++q]!;
          const from = q;
          let whole = 0;
          let d = (b - zero) >>> 0; // a byte below "0" becomes huge
          while (d <= 9) {
            whole = (Math.imul(whole, 10) + d) | 0;
            b = buf[++q]!;
            d = (b - zero) >>> 0;
          }
          let digits = q - from;
          let fraction = 0;
          let scale = 0;
          let tooLong = digits > 9;
          if (b === decimal) {
            const point = ++q;
            b = buf[q]!;
            d = (b - zero) >>> 0;
            while (d <= 9) {
              fraction = (Math.imul(fraction, 10) + d) | 0;
              b = buf[++q]!;
              d = (b - zero) >>> 0;
            }
            scale = q - point;
            digits += scale;
            tooLong ||= scale > 9;
          }
          if ((b === separator || b === lf || b === cr) && digits > 0 && digits <= 15 && !tooLong) {
            let v = whole;
            if (scale > 0) {
              const power = powers[scale]!;
              v = (whole * power + fraction) / power;
            }
            values[at] = negative ? -v : v;
            p = q;
            read = true;
          }
        }
        if (!read) {
          p = this.cell(c, p, at);
          if (p < 0) break rows;
          b = buf[p]!;
        }
        c++;
        at += stride;
        if (b !== separator) break;
        p++;
      }
      // p is at the line end
      if (p - pos > maxBytesPerLine) throw this.lineTooLong();
      if ((this.missing === 0 && c === width) || this.takes(c, pos, p)) row++;
      this.line += 1 + this.linesInCells;
      if (buf[p] === cr) {
        if (buf[p + 1] === lf && p + 1 < end) p++;
        else if (p + 1 === end) this.skipLF = true;
      }
      pos = p + 1;
      this.start = pos;
    }
    this.rows = row;
    if (row === batchRows) return true;
    if (this.end - this.start > maxBytesPerLine) throw this.lineTooLong();
    if (this.atEnd && this.start < this.end) this.skipUnclosed();
    return false;
  }

  /**
   * Reads a cell that is not a plain number. Cells beyond the last column are only looked at for being blank.
   * @returns position of the separator or line end behind it, or -1 when the bytes end before.
   */
  private cell(c: number, from: number, at: number): number {
    const { buf, end } = this;
    const { separator, readers } = this.settings;
    let p = from;
    if (buf[p] === QUOTE) {
      p++;
      for (;;) {
        if (p >= end) return -1;
        const b = buf[p++]!;
        if (b === QUOTE) {
          if (buf[p] !== QUOTE) break;
          p++;
        } else if (b === LF || (b === CR && buf[p] !== LF)) this.linesInCells++;
      }
    }
    let b = buf[p]!;
    while (p < end && b !== separator && b !== LF && b !== CR) b = buf[++p]!;
    if (p >= end) return -1;
    if (c >= this.width) {
      for (let q = from; q < p; q++) if (buf[q]! > 32) this.extraFilled = true;
      return p;
    }
    const reader = readers[c]!;
    const value = reader.read(buf, from, p);
    this.values[at] = value;
    if (reader.problem !== 0) {
      const m = this.missing++;
      this.missingColumn[m] = c;
      this.missingFrom[m] = from;
      this.missingTo[m] = p;
      this.missingWhy[m] = reader.problem;
    }
    return p;
  }

  /** Decides on a row with `cells` cells that is not plainly complete: counts its cells without value, or why it is no row. */
  private takes(cells: number, from: number, to: number): boolean {
    const { readers, outputOf, file } = this.settings;
    let texts = 0;
    let known = 0;
    let foreign = 0;
    for (let m = 0; m < this.missing; m++) {
      if (this.missingWhy[m] === 1) continue;
      texts++;
      if (this.buf.subarray(this.missingFrom[m], this.missingTo[m]).includes(0))
        throw notText(file, this.line);
      if (readers[this.missingColumn[m]!]!.kind === CellKind.unknown) continue;
      known++;
    }
    const values = Math.min(cells, this.width) - this.missing;
    if (values === 0 && texts === 0 && !this.extraFilled) {
      this.skipped.addBlank(this.line);
      return false;
    }
    const first =
      this.missing > 0 && this.missingColumn[0] === 0 && this.missingWhy[0] !== 1 ? this.text(0) : '';
    let reason: SkipReason | undefined;
    if (isComment(first)) reason = 'comment';
    else if (isSummaryLabel(first) && readers[0]!.kind !== CellKind.unknown) reason = 'summary';
    else if (cells < this.width) reason = values === 0 ? 'text' : 'short';
    else if (this.extraFilled) reason = 'long';
    else if (values === 0 && known > 0) {
      for (let m = 0; m < this.missing; m++) {
        const k = readers[this.missingColumn[m]!]!.kind;
        if (this.missingWhy[m] !== 1 && k !== CellKind.unknown && !isQualityWord(this.text(m))) foreign++;
      }
      if (foreign > 0) reason = 'text';
    }
    if (reason !== undefined) {
      this.skipped.add(reason, this.line, this.excerpt(from, to));
      return false;
    }
    let lastOutput = -1;
    for (let m = 0; m < this.missing; m++) {
      const c = this.missingColumn[m]!;
      const output = outputOf[c]!;
      if (output === lastOutput) continue;
      lastOutput = output;
      readers[c]!.count(this.missingWhy[m]!, this.buf, this.missingFrom[m]!, this.missingTo[m]!, this.line);
    }
    this.skipped.settle();
    return true;
  }

  private text(m: number): string {
    return decodeCell(
      this.buf.subarray(this.missingFrom[m], this.missingTo[m]),
      this.settings.encoding,
    ).replace(/^\s*"|"\s*$/g, '');
  }

  private excerpt(from: number, to: number): string {
    const text = decodeCell(this.buf.subarray(from, Math.min(to, from + 240)), this.settings.encoding);
    return text.length > 60 ? `${text.slice(0, 60)}...` : text;
  }

  /** What is left at the end of the file began with a quotation mark without a second: none of its lines can be told from text. */
  private skipUnclosed(): void {
    const text = this.excerpt(this.start, this.end - 1).split(/[\r\n]/)[0]!;
    this.skipped.add('unclosed', this.line, text, Math.max(1, this.linesInCells));
    this.start = this.end;
  }

  private lineTooLong(): TautlineError {
    const { file, maxBytesPerLine } = this.settings;
    return lineTooLong(file, this.line, maxBytesPerLine, this.buf.subarray(this.start, this.end));
  }
}

export function notText(file: string, line: number): TautlineError {
  return new TautlineError(
    'file_not_text',
    { file, line },
    `${file}: not a text table: zero or control bytes at line ${line}`,
    'export the recording as delimited text (CSV) or Parquet',
  );
}

export function lineTooLong(file: string, line: number, max: number, bytes: Uint8Array): TautlineError {
  if (bytes.includes(0)) return notText(file, line);
  return new TautlineError(
    'line_too_long',
    { file, line, maxBytesPerLine: max },
    `${file}: line ${line} is longer than ${max} bytes (no line end, or a quotation mark that is never closed)`,
    'check that the file is a table with one sample a line',
  );
}

export const decimalByte = (sign: '.' | ','): number => (sign === '.' ? DOT : COMMA);
