import { describe, expect, test } from 'vitest';
import { COMMA, DOT } from '../../../src/node/text/bytes.js';
import { parseNumber } from '../../../src/node/text/number.js';
import { column, lines, read, valuesOf } from './support.js';

const number = (text: string, decimal = DOT): number => {
  const bytes = Buffer.from(text);
  return parseNumber(bytes, 0, bytes.length, decimal);
};

describe('numbers', () => {
  // The language's own parser rounds correctly (ECMAScript, StringToNumber) and is the outside check.
  test.each([
    '0',
    '-0',
    '1',
    '+1.5',
    '.5',
    '5.',
    '007',
    '1e3',
    '1E+03',
    '-2.5e-7',
    '0.1',
    '123456789012345',
    '9007199254740993',
    '0.000000000000000000000012345',
    '1.7976931348623157e308',
    '5e-324',
    '2.2250738585072011e-308',
    '3.141592653589793238462643',
    '89255e-22',
    '1e23',
    '8.41e21',
    '123456.789e-30',
    '9999999999.999999999',
    '123456789.123456789',
    '0.30000000000000004',
  ])('%s is rounded as Number() does', (text) => {
    expect(number(text)).toBe(Number(text));
    expect(number(`  ${text}\t`)).toBe(Number(text));
    expect(number(text.replace('.', ','), COMMA)).toBe(Number(text));
  });

  test.each([
    '',
    '-',
    '+',
    '.',
    'e5',
    '1e',
    '1e+',
    '1.2.3',
    '0x10',
    '1,5',
    '1 2',
    '--1',
    '1e999',
    '1_000',
    'Infinity',
    '12rpm',
  ])('"%s" is not a number', (text) => expect(number(text)).toBeNaN());

  test('typographic minus', () => expect(number('−2.5')).toBe(-2.5));

  test('scanner and cell parser agree on every form', async () => {
    const cells = [
      '1',
      '-0',
      '+1.5',
      '.5',
      '5.',
      ' 2.5 ',
      '"3.5"',
      '1e3',
      '123456789012345678',
      '0.1234567890123',
      '1234567890.5',
      '-2147483648',
    ];
    const t = await read(lines('v;n', ...cells.map((c, i) => `${c};${i}`)));
    expect(valuesOf(t)[0]).toEqual(cells.map((c) => Number(c.replaceAll('"', ''))));
  });
});

describe('cells without value', () => {
  test('quality words and not-a-number words are NaN, counted, the first one quoted with its line', async () => {
    const words = ['Bad', 'No Good', '#N/A', 'I/O Timeout', '---', 'null', 'NaN', '-Inf', '1e999', '?'];
    const t = await read(lines('Time;Speed', '0;1.5', ...words.map((w, i) => `${i + 1};${w}`), '99;2.5'));
    const c = column(t, 'Speed');
    expect(t.rows).toBe(12);
    expect(c).toMatchObject({
      kind: 'number',
      textCells: 10,
      blankCells: 0,
      firstText: { text: 'Bad', line: 3 },
    });
    expect([...c.values].filter((v) => !Number.isNaN(v))).toEqual([1.5, 2.5]);
    expect(t.findings).toEqual([]);
  });

  test('blank cells are NaN and counted', async () => {
    const t = await read(lines('a,b,c', '1,,3', '2, ,4', ',"",5', '3,6,\u00a0'));
    expect(t.columns.map((c) => [c.blankCells, c.textCells])).toEqual([
      [1, 0],
      [3, 0],
      [1, 0],
    ]);
  });

  test('a column of words is text, its cells counted', async () => {
    const t = await read(lines('Time,State', '0,RUN', '1,STOP', '2,'));
    expect(column(t, 'State')).toMatchObject({ kind: 'text', textCells: 2, blankCells: 1 });
    expect([...column(t, 'State').values]).toEqual([Number.NaN, Number.NaN, Number.NaN]);
  });

  test('a column that begins with thousands of blanks takes the kind of its first value', async () => {
    const blank = Array.from({ length: 3000 }, (_, i) => `${i};;;`);
    const t = await read(
      lines(
        'n;speed;on;stamp',
        ...blank,
        '3000;1.5;true;2026-12-31 10:00:00',
        '3001;2.5;false;2026-12-31 10:00:01',
      ),
    );
    expect(t.columns.map((c) => c.kind)).toEqual(['number', 'number', 'boolean', 'datetime']);
    expect(t.columns.map((c) => c.values[3001])).toEqual([3001, 2.5, 0, 1]);
    expect(t.columns.map((c) => c.blankCells)).toEqual([0, 3000, 3000, 3000]);
  });
});

test('booleans; 0 and 1 stay numbers', async () => {
  const t = await read(lines('a,b,c,d', 'true,On,YES,1', 'FALSE,off,no,0', 'true,Bad,no,1'));
  expect(t.columns.map((c) => c.kind)).toEqual(['boolean', 'boolean', 'boolean', 'number']);
  expect(valuesOf(t)).toEqual([
    [1, 0, 1],
    [1, 0, Number.NaN],
    [1, 0, 0],
    [1, 0, 1],
  ]);
});

describe('lines that are no rows are counted with reason and first line', () => {
  test('short, long, footer, remark, comment, blank', async () => {
    const t = await read(
      lines(
        'Time;Speed;Torque', // 1
        '0;1,5;2,5',
        '1;1,5', // 3 short
        '',
        '2;1,5;2,5',
        '3;1,5;2,5;9', // 6 long
        '# restarted', // 7 comment
        'Time;Speed;Torque', // 8 text
        '4;1,5;2,5',
        'Total;3;5', // 10 summary
        'End of file', // 11 summary
        '',
        ';;',
      ),
    );
    expect([...column(t, 'Time').values]).toEqual([0, 2, 4]);
    const found = t.findings.map((f) => [f.code, f.where.reason, f.where.rows, f.where.line]);
    expect(found).toEqual([
      ['rows_skipped', 'fewer cells than columns', 1, 3],
      ['rows_skipped', 'blank line', 1, 4],
      ['rows_skipped', 'more cells than columns', 1, 6],
      ['rows_skipped', 'comment line', 1, 7],
      ['rows_skipped', expect.stringContaining('text in place of values'), 1, 8],
      ['rows_skipped', 'line that sums up or ends the table', 2, 10],
    ]);
    expect(t.source.rows).toBe(3);
  });

  test('blank lines at the end are no finding', async () => {
    expect((await read('a;b\r\n1;2\r\n\r\n\r\n')).findings).toEqual([]);
  });

  test('a quotation mark that is never closed', async () => {
    const t = await read(lines('a;b', '1;2', '3;"4', '5;6'));
    expect(t.rows).toBe(1);
    expect(t.findings).toMatchObject([
      { code: 'rows_skipped', severity: 'warn', where: { rows: 2, line: 3 } },
    ]);
  });

  test('in a column of words, "Max" and "End" are no footers', async () => {
    const t = await read(lines('State;v', 'Run;1', 'Max;2', 'End;3'));
    expect(valuesOf(t)[1]).toEqual([1, 2, 3]);
  });

  test('a row of quality words only is a row', async () => {
    const t = await read(lines('a;b', '1;2', 'Bad;Bad', '3;4'));
    expect(t.rows).toBe(3);
  });
});
