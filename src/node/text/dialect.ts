import { TautlineError } from '../../engine/errors.js';
import type { Dialect } from '../../engine/recording/recording.js';
import { type CellClass, classify, isValue } from './classify.js';
import type { Encoding } from './encoding.js';
import { type HeadRecord, type Separator, splitRecords } from './records.js';
import { isQualityWord, isTypeWord, isUnitLike } from './words.js';

/** Records of the head that detection looks at; a header must stand among them. */
const headRecords = 2000;
/** Records at the end of the head that tell the separator and what each column holds. */
const bulkRecords = 200;

export interface Layout {
  readonly dialect: Dialect;
  /** Header cells as written, one a column; empty texts without a header line. */
  readonly headers: readonly string[];
  /** Cells of the unit row, or undefined. */
  readonly units: readonly string[] | undefined;
  /** First byte and first line (from 1) of the rows. */
  readonly dataOffset: number;
  readonly dataLine: number;
  /** Cells of the first rows of values, by column. */
  readonly sample: readonly (readonly string[])[];
  /** Every value with a decimal comma has just three digits after it, so it might be a thousands separator. */
  readonly decimalUnclear: boolean;
}

interface Candidate {
  readonly separator: Separator;
  readonly records: readonly HeadRecord[];
  readonly width: number;
  /** What most values of each column are; undefined for a column without values. */
  readonly kinds: readonly (CellClass | undefined)[];
  readonly score: number;
  /** Share of the rows that have `width` cells. */
  readonly consistency: number;
}

/**
 * Finds out how a table is written from its first bytes. Each separator is tried; the one under which most characters fall into
 * cells of values, with the same number of cells a row, is taken. What `stated` gives is not looked for.
 */
export function detectDialect(
  head: Uint8Array,
  encoding: Encoding,
  complete: boolean,
  stated: Partial<Dialect>,
  file: string,
): Layout {
  const hint = /^sep=([,;|\t])\s*$/im.exec(
    Buffer.from(head.subarray(0, 16))
      .toString('latin1')
      .split(/[\r\n]/)[0]!,
  )?.[1];
  const separators = stated.separator
    ? [stated.separator]
    : hint
      ? [hint as Separator]
      : (['\t', ';', '|', ','] as const);
  const candidates = separators.map((s) =>
    tryCandidate(s, splitRecords(head, s, encoding, complete, headRecords)),
  );
  const best = choose(candidates);
  const c = best ?? headerOnly(candidates);
  if (best === undefined) refuseBlankSeparated(c.records, file);
  else if (c.consistency < 0.5) {
    throw unclear(
      file,
      `no separator gives rows of equal length (the best, ${name(c.separator)}, fits ${Math.round(100 * c.consistency)} % of them)`,
    );
  }
  const area = findHeader(c, stated, file);
  const rows = c.records.filter((r) => r.end > area.dataOffset);
  const width = area.headers.length;
  const sample = rows.slice(0, 50).concat(rows.slice(50).slice(-bulkRecords));
  const columns = Array.from({ length: width }, (_, i) =>
    sample.filter((r) => fits(r, width)).map((r) => r.cells[i]!),
  );
  const decimal = stated.decimal ? { sign: stated.decimal, unclear: false } : findDecimal(columns, file);
  return {
    dialect: {
      encoding,
      separator: c.separator,
      decimal: decimal.sign,
      titleLines: area.titleLines,
      hasHeader: area.hasHeader,
      hasUnitRow: area.units !== undefined,
    },
    headers: area.headers,
    units: area.units,
    dataOffset: area.dataOffset,
    dataLine: area.dataLine,
    sample: columns,
    decimalUnclear: decimal.unclear,
  };
}

/** Does a row have `width` cells, or more of which the additional ones are blank? */
const fits = (r: HeadRecord, width: number): boolean =>
  r.cells.length >= width && r.cells.slice(width).every((cell) => cell === '');

const isBlank = (r: HeadRecord): boolean => r.cells.every((cell) => cell === '');

const name = (s: Separator): string => (s === '\t' ? 'tab' : `"${s}"`);

function unclear(file: string, why: string): TautlineError {
  return new TautlineError(
    'dialect_unclear',
    { file },
    `${file}: cannot tell how the table is written: ${why}`,
    'state separator, decimal sign and header line, or export again with another separator than the decimal sign',
  );
}

function tryCandidate(separator: Separator, records: readonly HeadRecord[]): Candidate {
  const bulk = records.slice(-bulkRecords).filter((r) => !isBlank(r));
  const rows = bulk
    .map((r) => ({ cells: r.cells, classes: r.cells.map(classify) }))
    .filter(({ classes }) => {
      const filled = classes.filter((k) => k !== 'blank').length;
      return (
        classes.some(isValue) && 2 * classes.filter((k) => isValue(k) || k === 'quality').length >= filled
      );
    });
  const byWidth = new Map<number, number>();
  for (const r of rows) byWidth.set(r.cells.length, (byWidth.get(r.cells.length) ?? 0) + 1);
  const [width, count] = [...byWidth].sort((x, y) => y[1] - x[1] || y[0] - x[0])[0] ?? [0, 0];
  const ofWidth = rows.filter((r) => r.cells.length === width);
  const kinds = Array.from({ length: width }, (_, i) => majority(ofWidth.map((r) => r.classes[i]!)));
  let characters = 0;
  let inValues = 0;
  for (const r of ofWidth) {
    r.cells.forEach((cell, i) => {
      characters += cell.length;
      if (isValue(r.classes[i]!) || r.classes[i] === 'quality') inValues += cell.length;
    });
  }
  const consistency = rows.length === 0 ? 0 : count / rows.length;
  const score = characters === 0 ? 0 : (inValues / characters) * consistency;
  return { separator, records, width, kinds, score, consistency };
}

function majority(classes: readonly CellClass[]): CellClass | undefined {
  const counts = new Map<CellClass, number>();
  for (const c of classes) if (isValue(c)) counts.set(c, (counts.get(c) ?? 0) + 1);
  const top = [...counts].sort((x, y) => y[1] - x[1])[0];
  const texts = classes.filter((c) => c === 'text').length;
  return top && top[1] >= texts ? top[0] : undefined;
}

function choose(candidates: readonly Candidate[]): Candidate | undefined {
  const several = candidates
    .filter((c) => c.width > 1)
    .sort((x, y) => y.score - x.score || y.width - x.width)[0];
  const one = candidates.filter((c) => c.width === 1).sort((x, y) => y.score - x.score)[0];
  if (several === undefined || several.score <= 0) return one && one.score > 0 ? one : undefined;
  if (one === undefined || one.score < several.score) return several;
  // `1,5` alone: a column with decimal comma, or two columns; the line before the rows decides
  const first = several.records.findIndex((r) => isRow(several, r));
  const above = several.records.slice(0, first).findLast((r) => !isBlank(r));
  return above !== undefined && above.cells.length < several.width ? one : several;
}

/** A file without a row of values: the separator that splits the last lines most. */
function headerOnly(candidates: readonly Candidate[]): Candidate {
  const widthOf = (c: Candidate): number => Math.max(0, ...c.records.map((r) => r.cells.length));
  const c = [...candidates].sort((x, y) => widthOf(y) - widthOf(x))[0]!;
  const width = widthOf(c);
  return { ...c, width, kinds: Array.from({ length: width }, () => undefined) };
}

function refuseBlankSeparated(records: readonly HeadRecord[], file: string): void {
  const lines = records.filter((r) => !isBlank(r)).map((r) => r.cells.join(' ').split(/\s+/));
  const numeric = lines.filter((l) => l.length > 1 && l.every((w) => classify(w) === 'number')).length;
  if (numeric > 0 && 2 * numeric >= lines.length) {
    throw unclear(
      file,
      'its columns are separated by blanks, which is not read; comma, semicolon, tab and | are',
    );
  }
}

/** A row of values: the cells are of the class that their column mostly has, and at least one is a value. */
function isRow(c: Candidate, r: HeadRecord): boolean {
  if (!fits(r, c.width)) return false;
  let values = 0;
  for (let i = 0; i < c.width; i++) {
    const expected = c.kinds[i];
    if (expected === undefined) continue;
    const got = classify(r.cells[i]!);
    if (got === expected || (isValue(got) && isTimed(got) === isTimed(expected))) values++;
    else if (got !== 'blank' && got !== 'quality') return false;
  }
  return values > 0;
}

const isTimed = (c: CellClass): boolean => c === 'date' || c === 'datetime' || c === 'clock';

interface HeaderArea {
  readonly titleLines: number;
  readonly hasHeader: boolean;
  readonly headers: readonly string[];
  readonly units: readonly string[] | undefined;
  readonly dataOffset: number;
  readonly dataLine: number;
}

function findHeader(c: Candidate, stated: Partial<Dialect>, file: string): HeaderArea {
  const records = c.records;
  const from = stated.titleLines ?? 0;
  const found = records.findIndex((r) => r.line > from && isRow(c, r));
  const firstRow = found < 0 ? records.length : found;
  const { header, unitRow } = pickHeader(c, records.slice(0, firstRow + 1), firstRow, stated);
  const rowWidth = found >= 0 ? c.width : (header?.cells.length ?? c.width);
  const trailing = trailingBlanks(c, firstRow);
  const width = header
    ? headerWidth(header, unitRow, rowWidth, trailing, c.separator, file)
    : rowWidth - trailing;
  const last = unitRow ?? header;
  const before = last ?? records[firstRow - 1];
  const dataOffset = before?.end ?? 0;
  const dataLine = before?.nextLine ?? 1;
  return {
    titleLines: (header ?? unitRow)?.line !== undefined ? (header ?? unitRow)!.line - 1 : dataLine - 1,
    hasHeader: header !== undefined,
    headers: Array.from({ length: width }, (_, i) => header?.cells[i] ?? ''),
    units: unitRow ? Array.from({ length: width }, (_, i) => unitRow.cells[i] ?? '') : undefined,
    dataOffset,
    dataLine,
  };
}

/** Header line and unit row among the records up to the first row of values (index `firstRow`, where there is one). */
function pickHeader(
  c: Candidate,
  records: readonly HeadRecord[],
  firstRow: number,
  stated: Partial<Dialect>,
): { header: HeadRecord | undefined; unitRow: HeadRecord | undefined } {
  const after = (r: HeadRecord): boolean => r.line > (stated.titleLines ?? 0);
  // rows of "Bad;Bad" or "---" before the first number are rows, not headers
  const lines = records.slice(0, firstRow).filter((r) => after(r) && !isBlank(r) && !isOnlyQuality(r));
  let header: HeadRecord | undefined;
  let unitRow: HeadRecord | undefined;
  if (stated.hasHeader === false) {
    unitRow = stated.hasUnitRow ? lines.at(-1) : undefined;
    return { header, unitRow };
  }
  if (stated.titleLines !== undefined) {
    header = lines[0] ?? (stated.hasHeader ? records.find(after) : undefined);
    const below = header && lines[1];
    unitRow = below && isUnitRow(below) ? below : undefined;
  } else {
    const candidates = lines.filter((r) => !r.cells.every((t) => t === '' || isTypeWord(t)));
    header = candidates.at(-1);
    const before = candidates.at(-2);
    if (header && before && isUnitRow(header) && !isUnitRow(before) && sameWidth(before, header)) {
      unitRow = header;
      header = before;
    }
    // a line of one cell above several columns is a title
    if (header && !stated.hasHeader && header.cells.length === 1 && c.width > 1) header = undefined;
  }
  if (stated.hasUnitRow === false) unitRow = undefined;
  if (stated.hasUnitRow === true && header && !unitRow) unitRow = lines[lines.indexOf(header) + 1];
  return { header, unitRow };
}

const isOnlyQuality = (r: HeadRecord): boolean =>
  r.cells.every((t) => t === '' || t === '-' || isQualityWord(t)) &&
  !r.cells.every((t) => t === '' || t === '-');

/** How many columns at the right end hold nothing in any row of the sample: separators at the line ends. */
function trailingBlanks(c: Candidate, firstRow: number): number {
  const rows = c.records.slice(firstRow).filter((r) => r.cells.length >= c.width && !isBlank(r));
  let n = 0;
  while (rows.length > 0 && n < c.width - 1 && rows.every((r) => r.cells[c.width - 1 - n] === '')) n++;
  return n;
}

const filled = (r: HeadRecord): number => r.cells.length - [...r.cells].reverse().findIndex((t) => t !== '');

const sameWidth = (header: HeadRecord, units: HeadRecord): boolean =>
  filled(units) <= header.cells.length && header.cells.length <= units.cells.length + 1;

/** A row of units: short texts, most of them units; a bracketed text counts as one. */
function isUnitRow(r: HeadRecord): boolean {
  const texts = r.cells.filter((t) => t !== '');
  const units = texts.filter((t) => isUnitLike(bareUnit(t)) || /^\[.*\]$/.test(t));
  return texts.length > 0 && texts.every((t) => t.length <= 16) && 2 * units.length > texts.length;
}

/** Text of a unit cell without brackets around it. */
export const bareUnit = (text: string): string => /^[[(]\s*(.*?)\s*[\])]$/.exec(text)?.[1] ?? text;

function headerWidth(
  header: HeadRecord,
  unitRow: HeadRecord | undefined,
  rowWidth: number,
  trailing: number,
  separator: Separator,
  file: string,
): number {
  const named = Math.max(filled(header), unitRow ? filled(unitRow) : 0);
  if (named <= rowWidth && named >= rowWidth - trailing) return named;
  if (named < rowWidth && trailing > 0 && named > 1 && named >= rowWidth - trailing) return named;
  const comma =
    separator === ',' && rowWidth === 2 * named ? ': decimal comma and separator are the same sign' : '';
  throw unclear(
    file,
    `the header (line ${header.line}) has ${named} cells and the rows have ${rowWidth - trailing}${comma}`,
  );
}

const plain = { '.': /^[+-]?\d*\.\d+(?:e[+-]?\d+)?$/i, ',': /^[+-]?\d*,\d+(?:e[+-]?\d+)?$/i };
const threeDigits = /^[+-]?[1-9]\d{0,2}[.,]\d{3}$/;

/** Decimal sign from the cells of the sample. Numbers like `1.234` say little: they may hold a thousands separator. */
function findDecimal(
  columns: readonly (readonly string[])[],
  file: string,
): { sign: '.' | ','; unclear: boolean } {
  const sure = { '.': '', ',': '' };
  const weak = { '.': '', ',': '' };
  for (const cell of columns.flat()) {
    for (const sign of ['.', ','] as const) {
      const grouping = parseBoth(cell, sign);
      if (plain[sign].test(cell)) (threeDigits.test(cell) ? weak : sure)[sign] ||= cell;
      else if (grouping) sure[sign] ||= cell;
    }
  }
  if (sure['.'] && sure[','])
    throw unclear(
      file,
      `both "${sure['.']}" and "${sure[',']}" stand in it, so the decimal sign may be point or comma`,
    );
  if (sure['.']) return { sign: '.', unclear: false };
  if (sure[',']) return { sign: ',', unclear: false };
  if (weak['.'] && weak[','])
    throw unclear(file, `"${weak['.']}" and "${weak[',']}" may hold decimals or thousands`);
  return weak[','] ? { sign: ',', unclear: true } : { sign: '.', unclear: false };
}

/** A grouped number with this decimal sign written out, as `1.234,5` for the comma. */
function parseBoth(cell: string, sign: '.' | ','): boolean {
  return sign === ','
    ? /^[+-]?\d{1,3}(?:[.' ]\d{3})+,\d+$/.test(cell)
    : /^[+-]?\d{1,3}(?:[,' ]\d{3})+\.\d+$/.test(cell);
}
