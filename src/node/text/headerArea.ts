import type { Dialect } from '../../engine/recording/recording.js';
import type { HeadRecord, Separator } from './records.js';
import { isBlank, isRow, type TableShape, unclear } from './rows.js';
import { isQualityWord, isTypeWord, isUnitLabel, isUnitLike } from './words.js';

/** Records under one separator, with the shape of the rows among them. */
export interface SplitHead extends TableShape {
  readonly separator: Separator;
  readonly records: readonly HeadRecord[];
}

export interface HeaderArea {
  readonly titleLines: number;
  readonly hasHeader: boolean;
  readonly headers: readonly string[];
  readonly units: readonly string[] | undefined;
  /** First byte and first line (from 1) of the rows. */
  readonly dataOffset: number;
  readonly dataLine: number;
}

/** Title lines, header line, unit row and where the rows begin. */
export function findHeader(c: SplitHead, stated: Partial<Dialect>, file: string): HeaderArea {
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
    titleLines: ((header ?? unitRow)?.line ?? dataLine) - 1,
    hasHeader: header !== undefined,
    headers: Array.from({ length: width }, (_, i) => header?.cells[i] ?? ''),
    units: unitRow ? Array.from({ length: width }, (_, i) => unitRow.cells[i] ?? '') : undefined,
    dataOffset,
    dataLine,
  };
}

/** Header line and unit row among the records up to the first row of values (index `firstRow`, where there is one). */
function pickHeader(
  c: SplitHead,
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
function trailingBlanks(c: SplitHead, firstRow: number): number {
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
  const texts = r.cells.filter((t) => t !== '' && !isUnitLabel(t));
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
  const comma =
    separator === ',' && rowWidth === 2 * named ? ': decimal comma and separator are the same sign' : '';
  throw unclear(
    file,
    `the header (line ${header.line}) has ${named} cells and the rows have ${rowWidth - trailing}${comma}`,
  );
}
