import type { Dialect } from '../../engine/recording/recording.js';
import { type CellClass, classify, isValue } from './classify.js';
import type { Encoding } from './encoding.js';
import { findHeader, type SplitHead } from './headerArea.js';
import { type HeadRecord, type Separator, splitRecords } from './records.js';
import { fits, isBlank, isRow, unclear } from './rows.js';
import { isUnitLike } from './words.js';

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
  /** Every value with a decimal comma has just three digits after it, so it might be a thousands separator: one of them. */
  readonly decimalUnclear: string | undefined;
}

/**
 * Finds out how a table is written from its first bytes. Each separator is tried; the one under which most characters fall into
 * cells of values, with the same number of cells a row, is taken. What `stated` gives is not looked for.
 * @param windows stretches from further on in the file: the first rows may hold no decimal sign and no day above 12.
 */
export function detectDialect(
  head: Uint8Array,
  encoding: Encoding,
  complete: boolean,
  windows: readonly Uint8Array[],
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
  if (best === undefined) refuseUnreadableForm(c.records, file);
  else if (c.consistency < 0.5) {
    throw unclear(
      file,
      `no separator gives rows of equal length (the best, ${name(c.separator)}, fits ${Math.round(100 * c.consistency)} % of them)`,
    );
  }
  const area = findHeader(c, stated, file);
  const rows = c.records.filter((r) => r.end > area.dataOffset);
  const width = area.headers.length;
  const later = windows.flatMap((w) => splitRecords(w, c.separator, encoding, false, 40).slice(1));
  const sample = [...rows.slice(0, 50), ...rows.slice(50).slice(-bulkRecords), ...later];
  const columns = Array.from({ length: width }, (_, i) =>
    sample.filter((r) => fits(r, width)).map((r) => r.cells[i]!),
  );
  const decimal = stated.decimal ? { sign: stated.decimal, unclear: undefined } : findDecimal(columns, file);
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

const name = (s: Separator): string => (s === '\t' ? 'tab' : `"${s}"`);

interface Candidate extends SplitHead {
  readonly score: number;
  /** Share of the rows that have `width` cells. */
  readonly consistency: number;
}

const empty = { width: 0, kinds: [], score: 0, consistency: 0 };

function tryCandidate(separator: Separator, records: readonly HeadRecord[]): Candidate {
  const rows = records
    .slice(-bulkRecords)
    .map((r) => ({ record: r, cells: r.cells, classes: r.cells.map(classify) }))
    .filter(({ classes }) => {
      const filled = classes.filter((k) => k !== 'blank').length;
      const good = classes.filter((k) => isValue(k) || k === 'quality').length;
      return classes.some(isValue) && 2 * good >= filled;
    });
  // rows with many values outweigh the "key;value" lines that may stand before them in greater number
  const weights = new Map<number, number>();
  for (const { classes } of rows) {
    const values = classes.filter(isValue).length;
    const pure = !classes.includes('text');
    weights.set(classes.length, (weights.get(classes.length) ?? 0) + values * values * (pure ? 4 : 1));
  }
  const width = [...weights].sort((x, y) => y[1] - x[1] || y[0] - x[0])[0]?.[0] ?? 0;
  const ofWidth = rows.filter((r) => r.cells.length === width);
  const kinds = Array.from({ length: width }, (_, i) => majority(ofWidth.map((r) => r.classes[i]!)));
  const table = { width, kinds };
  const from = rows.findIndex((r) => isRow(table, r.record));
  const block = from < 0 ? [] : rows.slice(from);
  let characters = 0;
  let inValues = 0;
  for (const r of block) {
    r.cells.forEach((cell, i) => {
      characters += cell.length;
      if (isValue(r.classes[i]!) || r.classes[i] === 'quality') inValues += cell.length;
    });
  }
  const consistency =
    block.length === 0 ? 0 : block.filter((r) => fits(r.record, width)).length / block.length;
  // "Drive trace;12.03.2026" and then only header lines: a title, not a row
  const after =
    block.length === 0 ? [] : records.slice(records.indexOf(block[0]!.record)).filter((r) => !isBlank(r));
  if (block[0]?.classes.includes('text') && 2 * block.length < after.length)
    return { ...empty, separator, records };
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
  // a single column has no separator: the comma, last in the list, stands for none
  const one = candidates
    .filter((c) => c.width === 1)
    .reverse()
    .sort((x, y) => y.score - x.score)[0];
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

/** Says what is in the way when no separator shows a value, although there are numbers. */
function refuseUnreadableForm(records: readonly HeadRecord[], file: string): void {
  const filled = records.filter((r) => !isBlank(r));
  const lines = filled.map((r) => r.cells.join(' ').split(/\s+/));
  const numeric = lines.filter((l) => l.length > 1 && l.every((w) => classify(w) === 'number')).length;
  if (2 * numeric >= lines.length && numeric > 0) {
    const read = 'comma, semicolon, tab and | are';
    throw unclear(file, `its columns are separated by blanks, which is not read; ${read}`);
  }
  const withUnit = /^[+-]?[\d.,]+\s*(\D\S*)$/;
  const cells = filled.flatMap((r) => r.cells);
  const example = cells.find((t) => isUnitLike(withUnit.exec(t)?.[1] ?? ''));
  if (example === undefined) return;
  const units = cells.filter((t) => isUnitLike(withUnit.exec(t)?.[1] ?? '')).length;
  if (2 * units >= cells.length)
    throw unclear(file, `its cells hold a unit beside the number ("${example}")`);
}

const plain = { '.': /^[+-]?\d*\.\d+(?:e[+-]?\d+)?$/i, ',': /^[+-]?\d*,\d+(?:e[+-]?\d+)?$/i };
const threeDigits = /^[+-]?[1-9]\d{0,2}[.,]\d{3}$/;

/** Decimal sign from the cells of the sample. Numbers like `1.234` say little: they may hold a thousands separator. */
function findDecimal(
  columns: readonly (readonly string[])[],
  file: string,
): { sign: '.' | ','; unclear: string | undefined } {
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
  if (sure['.']) return { sign: '.', unclear: undefined };
  if (sure[',']) return { sign: ',', unclear: undefined };
  if (weak['.'] && weak[','])
    throw unclear(file, `"${weak['.']}" and "${weak[',']}" may hold decimals or thousands`);
  return weak[','] ? { sign: ',', unclear: weak[','] } : { sign: '.', unclear: undefined };
}

/** A grouped number with this decimal sign written out, as `1.234,5` for the comma. */
function parseBoth(cell: string, sign: '.' | ','): boolean {
  return sign === ','
    ? /^[+-]?\d{1,3}(?:[.' ]\d{3})+,\d+$/.test(cell)
    : /^[+-]?\d{1,3}(?:[,' ]\d{3})+\.\d+$/.test(cell);
}
