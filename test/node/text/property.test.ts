import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isTautlineError } from '../../../src/engine/errors.js';
import type { RawTable } from '../../../src/engine/recording/recording.js';
import type { TextOptions } from '../../../src/node/text/streamTextTable.js';
import { read } from './support.js';

const result = async (bytes: Uint8Array, options: TextOptions = {}): Promise<RawTable | string> => {
  try {
    return await read(bytes, options);
  } catch (e) {
    if (isTautlineError(e)) return e.code;
    throw e;
  }
};

function checkShape(t: RawTable): void {
  for (const c of t.columns) {
    expect(c.values.length).toBe(t.rows);
    const missing = c.values.reduce((n, v) => n + (Number.isNaN(v) ? 1 : 0), 0);
    expect(c.blankCells + c.textCells).toBeGreaterThanOrEqual(missing);
    expect(c.values.every((v) => Number.isNaN(v) || Number.isFinite(v))).toBe(true);
    if (c.textCells > 0) expect(c.firstText).toBeDefined();
  }
  expect(new Set(t.columns.map((c) => c.header)).size).toBe(t.columns.length);
}

describe('no bytes crash it: a table or a coded error', () => {
  test('bytes of any kind', async () => {
    await fc.assert(
      fc.asyncProperty(fc.uint8Array({ maxLength: 400 }), async (bytes) => {
        const t = await result(bytes);
        if (typeof t !== 'string') checkShape(t);
      }),
      { numRuns: 500, seed: 1 },
    );
  });

  // pieces that tables are made of, put together at random
  const piece = fc.constantFrom(
    '0',
    '1',
    '12',
    '-',
    '+',
    '.',
    ',',
    ';',
    '\t',
    '|',
    '"',
    '""',
    '\n',
    '\r\n',
    '\r',
    ' ',
    'e',
    'E5',
    'Bad',
    'NaN',
    '#',
    'a',
    '[s]',
    '(rpm)',
    'Total',
    '12:30',
    '23:59:59,5',
    '31.12.2026',
    '05/06/2026',
    '2026-12-31T10:00:00Z',
    'on',
    'true',
    'ü',
    '\ufeff',
    '1.234',
    '1,234',
    '−',
    ':',
    '/',
    'T',
  );
  test('pieces of tables, whole and in small reads: the same outcome', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(piece, { maxLength: 60 }),
        fc.integer({ min: 1, max: 9 }),
        async (pieces, chunkBytes) => {
          const bytes = Buffer.from(pieces.join(''));
          const t = await result(bytes);
          const u = await result(bytes, { chunkBytes, batchRows: 2 });
          if (typeof t === 'string' || typeof u === 'string') {
            expect(u).toEqual(t);
            return;
          }
          checkShape(t);
          expect(u.columns).toEqual(t.columns);
          expect(u.dialect).toEqual(t.dialect);
          expect(u.findings.map((f) => f.code)).toEqual(t.findings.map((f) => f.code));
        },
      ),
      { numRuns: 600, seed: 2 },
    );
  });
});

/** Every way to write the doubles that occur: shortest form, fixed digits, exponent. */
const written = fc
  .tuple(
    fc.oneof(
      fc.double({ noNaN: true, noDefaultInfinity: true }),
      fc.double({ noNaN: true, min: -2000, max: 2000 }),
      fc.integer({ min: -100000, max: 100000 }),
    ),
    fc.constantFrom('shortest', 'fixed', 'exponent'),
    fc.integer({ min: 0, max: 12 }),
  )
  .map(([v, form, digits]) => {
    if (form === 'fixed' && Math.abs(v) < 1e15) return v.toFixed(digits);
    // rounding up the greatest double would overflow
    return form === 'exponent' && Math.abs(v) < 1e308
      ? v.toExponential(digits)
      : String(Object.is(v, -0) ? '-0' : v);
  });

const dialects = fc.constantFrom(
  { separator: ',', decimal: '.', quoted: false },
  { separator: ',', decimal: ',', quoted: true },
  { separator: ';', decimal: ',', quoted: false },
  { separator: ';', decimal: '.', quoted: true },
  { separator: '\t', decimal: '.', quoted: false },
  { separator: '\t', decimal: ',', quoted: false },
  { separator: '|', decimal: ',', quoted: false },
);

test('a table written in any dialect reads back to the last bit, in that dialect', async () => {
  await fc.assert(
    fc.asyncProperty(
      dialects,
      fc.integer({ min: 2, max: 6 }).chain((width) =>
        fc.array(fc.array(written, { minLength: width, maxLength: width }), {
          minLength: 1,
          maxLength: 30,
        }),
      ),
      fc.record({
        titles: fc.integer({ min: 0, max: 3 }),
        units: fc.constantFrom('header', 'row', 'none'),
        end: fc.constantFrom('\n', '\r\n', '\r'),
        encoding: fc.constantFrom('utf-8', 'utf-16le', 'latin-1'),
      }),
      async (d, rows, how) => {
        // the first row holds a number that shows the decimal sign beyond doubt
        const table = [rows[0]!.map(() => '0.5'), ...rows];
        const cell = (text: string): string => {
          const t = text.replace('.', d.decimal);
          return d.quoted ? `"${t}"` : t;
        };
        const names = rows[0]!.map((_, i) => `Größe ${i}${how.units === 'header' ? ' [rpm]' : ''}`);
        const text = [
          ...Array.from({ length: how.titles }, (_, i) => `Title ${i}`),
          names.join(d.separator),
          ...(how.units === 'row' ? [names.map(() => 'rpm').join(d.separator)] : []),
          ...table.map((r) => r.map(cell).join(d.separator)),
        ].join(how.end);
        const bytes = Buffer.from(
          text,
          how.encoding === 'latin-1' ? 'latin1' : how.encoding === 'utf-8' ? 'utf8' : 'utf16le',
        );
        const t = await read(bytes);
        expect(t.dialect).toEqual({
          encoding: how.encoding,
          separator: d.separator,
          decimal: d.decimal,
          titleLines: how.titles,
          hasHeader: true,
          hasUnitRow: how.units === 'row',
        });
        expect(t.columns.map((c) => c.header)).toEqual(names);
        expect(t.columns.map((c) => c.unit)).toEqual(
          names.map(() => (how.units === 'none' ? undefined : 'rpm')),
        );
        expect(t.findings).toEqual([]);
        t.columns.forEach((c, i) => {
          // Object.is in toEqual: -0 and 0 differ, and so does the last bit
          expect([...c.values]).toEqual(table.map((r) => Number(r[i])));
        });
      },
    ),
    { numRuns: 400, seed: 3 },
  );
});
