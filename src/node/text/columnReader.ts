import type { RawColumn } from '../../engine/recording/recording.js';
import { COMMA, DOT, trimEnd, trimStart } from './bytes.js';
import type { Encoding } from './encoding.js';
import { parseGrouped, parseNumber } from './number.js';
import { CellKind } from './plan.js';
import { cellText } from './records.js';
import { parseTime, type TimeFormat, TimeParts } from './time.js';
import { parseBoolean } from './words.js';

/** Why a cell gives no value. */
const NoValue = { blank: 1, text: 2, unclearGroup: 3 } as const;

const parts = new TimeParts();
const day = 86400;

/** Reads the cells of one column of the file outside the scanner's fast path, and keeps what holds for the whole column. */
export class ColumnReader {
  blankCells = 0;
  textCells = 0;
  /** Cells like `1.234` beside a decimal comma, which could be read in two ways and were not read. */
  unclearGroups = 0;
  firstText: { text: string; line: number } | undefined;
  firstUnclear: { text: string; line: number } | undefined;
  /** Unix time of value 0 of a date column: that of the first date read. */
  epoch: number | undefined;
  private wraps = 0;
  private lastClock = Number.NaN;

  constructor(
    public kind: CellKind,
    private readonly format: TimeFormat,
    private readonly decimal: '.' | ',',
    private readonly encoding: Encoding,
  ) {}

  /**
   * Value of the cell [a, b), quotes included. `problem` says after the call why there is none (0: there is one).
   */
  problem = 0;
  read(buf: Uint8Array, a: number, b: number): number {
    this.problem = 0;
    let from = trimStart(buf, a, b);
    let to = trimEnd(buf, from, b);
    if (to - from >= 2 && buf[from] === 34 && buf[to - 1] === 34) {
      from = trimStart(buf, from + 1, to - 1);
      to = trimEnd(buf, from, to - 1);
    }
    if (from === to) return this.none(NoValue.blank);
    switch (this.kind) {
      case CellKind.number:
        return this.number(buf, from, to);
      case CellKind.boolean:
        return this.boolean(buf, from, to);
      case CellKind.unknown:
        return this.firstOfUnknown(buf, from, to);
      default:
        return this.time(buf, from, to);
    }
  }

  private none(problem: number): number {
    this.problem = problem;
    return Number.NaN;
  }

  private number(buf: Uint8Array, a: number, b: number): number {
    const value = parseNumber(buf, a, b, this.decimal === '.' ? DOT : COMMA);
    if (!Number.isNaN(value)) return value;
    // only what begins like a number can be one with thousands separators
    const first = buf[a]!;
    if (first > 57 || first < 43) return this.none(this.textOrBlank(buf, a, b));
    const grouped = parseGrouped(cellText(buf.subarray(a, b), this.encoding), this.decimal);
    if (typeof grouped === 'number') return grouped;
    return this.none(grouped === 'unclear' ? NoValue.unclearGroup : this.textOrBlank(buf, a, b));
  }

  private boolean(buf: Uint8Array, a: number, b: number): number {
    const value = parseBoolean(cellText(buf.subarray(a, b), this.encoding));
    if (value !== undefined) return value;
    // 1 and 0 among true and false mean the same
    const number = parseNumber(buf, a, b, DOT);
    return number === 0 || number === 1 ? number : this.none(this.textOrBlank(buf, a, b));
  }

  private time(buf: Uint8Array, a: number, b: number): number {
    if (!parseTime(buf, a, b, this.format, parts)) return this.none(this.textOrBlank(buf, a, b));
    const dated = this.kind === CellKind.datetime || this.kind === CellKind.dateOfPair;
    if (parts.hasDate !== dated || (this.kind === CellKind.dateOfPair && parts.hasClock))
      return this.none(NoValue.text);
    if (dated) this.epoch ??= parts.seconds;
    return parts.seconds - (this.epoch ?? 0) + parts.fraction;
  }

  /** A column whose head held nothing but blanks and words takes the kind of the first cell that is a value. */
  private firstOfUnknown(buf: Uint8Array, a: number, b: number): number {
    const text = cellText(buf.subarray(a, b), this.encoding);
    if (!Number.isNaN(this.number(buf, a, b)) || this.problem === NoValue.unclearGroup)
      this.kind = CellKind.number;
    else if (parseBoolean(text) !== undefined) this.kind = CellKind.boolean;
    else if (parseTime(buf, a, b, this.format, parts))
      this.kind = parts.hasDate ? CellKind.datetime : CellKind.clock;
    else return this.none(this.textOrBlank(buf, a, b));
    return this.read(buf, a, b);
  }

  /** No-break spaces alone are a blank cell too. */
  private textOrBlank(buf: Uint8Array, a: number, b: number): number {
    return buf[a]! >= 0x80 && cellText(buf.subarray(a, b), this.encoding) === ''
      ? NoValue.blank
      : NoValue.text;
  }

  /** Counts a cell without value of a row that was taken. */
  count(problem: number, buf: Uint8Array, a: number, b: number, line: number): void {
    if (problem === NoValue.blank) {
      this.blankCells++;
      return;
    }
    this.textCells++;
    const text = (): { text: string; line: number } => ({
      text: cellText(buf.subarray(a, b), this.encoding).slice(0, 80),
      line,
    });
    this.firstText ??= text();
    if (problem === NoValue.unclearGroup) {
      this.unclearGroups++;
      this.firstUnclear ??= text();
    }
  }

  /** Carries clock times on past midnight (past the full hour where minutes lead), in place. */
  unwrap(clock: Float64Array): void {
    const period = this.format.twoFields === 'm:s' ? 3600 : day;
    for (let i = 0; i < clock.length; i++) {
      const t = clock[i]!;
      if (Number.isNaN(t)) continue;
      const step = t - this.lastClock;
      if (step < -period / 2) this.wraps++;
      // a stamp out of order just around midnight
      else if (this.wraps > 0 && step > period - 60) this.wraps--;
      this.lastClock = t;
      clock[i] = t + this.wraps * period;
    }
  }

  /** Kind of the column now that all of it has been read. */
  finalKind(): RawColumn['kind'] {
    switch (this.kind) {
      case CellKind.number:
        return 'number';
      case CellKind.boolean:
        return 'boolean';
      case CellKind.datetime:
      case CellKind.dateOfPair:
        return 'datetime';
      case CellKind.clock:
      case CellKind.clockOfPair:
        return 'clock';
      default:
        return this.textCells > 0 ? 'text' : 'number';
    }
  }
}
