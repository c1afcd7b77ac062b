import { describe, expect, test } from 'vitest';
import { codesOf, column, headersOf, lines, read, unitsOf, valuesOf } from './support.js';

// Every fixture is invented, written as drives, controllers and historians write their exports.
describe('separator and decimal sign', () => {
  test('comma with decimal point', async () => {
    const t = await read(
      lines('Time [s],Speed act [rpm],Torque act [% of rated]', '0.000,1200.5,-3.25', '0.001,1201,4e-1'),
    );
    expect(t.dialect).toEqual({
      encoding: 'utf-8',
      separator: ',',
      decimal: '.',
      titleLines: 0,
      hasHeader: true,
      hasUnitRow: false,
    });
    expect(headersOf(t)).toEqual(['Time [s]', 'Speed act [rpm]', 'Torque act [% of rated]']);
    expect(unitsOf(t)).toEqual(['s', 'rpm', '% of rated']);
    expect(valuesOf(t)).toEqual([
      [0, 0.001],
      [1200.5, 1201],
      [-3.25, 0.4],
    ]);
    expect(t.findings).toEqual([]);
  });

  test('semicolon with decimal comma, title lines and unit row', async () => {
    const t = await read(
      lines(
        'Drive trace;12.03.2026',
        'Rated torque;15,5',
        '',
        'Zeit;n_ist;M_ist;frei',
        's;1/min;%;',
        '0,000;1200,5;-3,25;7',
        '0,001;1201,0;0,125;8',
        '0,002;1201,5;0,25;9',
      ),
    );
    expect(t.dialect).toMatchObject({
      separator: ';',
      decimal: ',',
      titleLines: 3,
      hasHeader: true,
      hasUnitRow: true,
    });
    expect(headersOf(t)).toEqual(['Zeit', 'n_ist', 'M_ist', 'frei']);
    expect(unitsOf(t)).toEqual(['s', '1/min', '%', undefined]);
    expect(valuesOf(t)).toEqual([
      [0, 0.001, 0.002],
      [1200.5, 1201, 1201.5],
      [-3.25, 0.125, 0.25],
      [7, 8, 9],
    ]);
  });

  test('more key;value lines than rows', async () => {
    const titles = Array.from({ length: 40 }, (_, i) => `Parameter ${i};${i * 3}`);
    const t = await read(lines(...titles, 'Time;Speed;Torque', '0;1,5;2', '1;2,5;3', '2;3,5;4'));
    expect(t.dialect).toMatchObject({ separator: ';', decimal: ',', titleLines: 40 });
    expect(t.rows).toBe(3);
  });

  test('title of the same width as the table, and of numbers', async () => {
    const t = await read(
      lines('Drive trace;12.03.2026', '12.03.2026;08:15:00', 'Time [s];Speed [rpm]', '0;1', '1;2'),
    );
    expect(t.dialect).toMatchObject({ titleLines: 2, hasUnitRow: false });
    expect(headersOf(t)).toEqual(['Time [s]', 'Speed [rpm]']);
    expect(t.rows).toBe(2);
  });

  test.each([
    ['tab with decimal comma', '\t', ','],
    ['tab with decimal point', '\t', '.'],
    ['bar', '|', '.'],
    ['bar with decimal comma', '|', ','],
    ['semicolon with decimal point', ';', '.'],
  ])('%s', async (_, separator, decimal) => {
    const row = (...cells: string[]): string => cells.join(separator).replaceAll('.', decimal);
    const t = await read(lines(['Time', 'Speed'].join(separator), row('0.5', '-1.5e3'), row('1.0', '2.25')));
    expect(t.dialect).toMatchObject({ separator, decimal });
    expect(valuesOf(t)).toEqual([
      [0.5, 1],
      [-1500, 2.25],
    ]);
  });

  test('comma with quoted decimal comma', async () => {
    const t = await read(lines('"Time","Speed, actual"', '"0,5","1,25"', '1,"-2,5"'));
    expect(t.dialect).toMatchObject({ separator: ',', decimal: ',' });
    expect(headersOf(t)).toEqual(['Time', 'Speed, actual']);
    expect(valuesOf(t)).toEqual([
      [0.5, 1],
      [1.25, -2.5],
    ]);
  });

  test('comma as separator and as decimal sign is refused, not split', async () => {
    await expect(read(lines('time,speed', '0,01,1,5', '0,02,1,6'))).rejects.toMatchObject({
      code: 'dialect_unclear',
      message: expect.stringContaining('same sign'),
    });
  });

  test('point and comma decimals in one file are refused until stated', async () => {
    const text = lines('a;b', '0.51;1,5', '0.52;1,6');
    await expect(read(text)).rejects.toMatchObject({ code: 'dialect_unclear' });
    const t = await read(text, { dialect: { decimal: ',' } });
    expect(valuesOf(t)).toEqual([
      [Number.NaN, Number.NaN],
      [1.5, 1.6],
    ]);
    expect(column(t, 'a')).toMatchObject({ textCells: 2, firstText: { text: '0.51', line: 2 } });
  });

  test('a column alone with decimal comma', async () => {
    const t = await read(lines('Torque [Nm]', '1,5', '2,5'));
    expect(valuesOf(t)).toEqual([[1.5, 2.5]]);
  });

  test('a hint line for spreadsheets', async () => {
    const t = await read(lines('sep=;', 'a;b', '1;2'));
    expect(t.dialect).toMatchObject({ separator: ';', titleLines: 1 });
    expect(headersOf(t)).toEqual(['a', 'b']);
  });

  test('columns set apart by blanks are refused', async () => {
    await expect(read(lines('time speed', '0.0  1.0', '0.1  1.1'))).rejects.toMatchObject({
      code: 'dialect_unclear',
    });
  });

  test('a unit in every cell is refused, with an example', async () => {
    await expect(read(lines('Time,Speed', '0 s,12 rpm', '1 s,13 rpm'))).rejects.toMatchObject({
      code: 'dialect_unclear',
      message: expect.stringContaining('"0 s"'),
    });
  });

  test('the decimal sign shows only far into the file', async () => {
    const rows = Array.from({ length: 60_000 }, (_, i) => (i < 40_000 ? `${i};0` : `${i};0,5`));
    const t = await read(lines('n;v', ...rows));
    expect(t.dialect!.decimal).toBe(',');
    expect(column(t, 'v').values[59_999]).toBe(0.5);
    expect(column(t, 'v').textCells).toBe(0);
  });
});

describe('thousands separators', () => {
  test('read where only one reading is possible', async () => {
    const t = await read(lines('a;b', '1.234,5;0,5', "1.234.567;1'234", '12,5;-1.000,25'));
    expect(valuesOf(t)).toEqual([
      [1234.5, 1234567, 12.5],
      [0.5, 1234, -1000.25],
    ]);
    expect(t.findings).toEqual([]);
  });

  test('refused where they could be decimals', async () => {
    const t = await read(lines('a;b', '0,5;1,5', '1.234;2,5', '2,5;3,5'));
    expect(column(t, 'a')).toMatchObject({ textCells: 1, firstText: { text: '1.234', line: 3 } });
    expect(t.findings).toMatchObject([
      { code: 'thousands_separator', where: { line: 3, value: '1.234', cells: 1 } },
    ]);
  });

  test('commas that might be thousands are read as decimals, and said', async () => {
    const t = await read(lines('a;b', '1,234;2', '5,678;3'));
    expect(valuesOf(t)[0]).toEqual([1.234, 5.678]);
    expect(t.findings).toMatchObject([{ code: 'decimal_unclear', where: { value: '1,234' } }]);
  });

  test('points and commas that might both be thousands are refused', async () => {
    await expect(read(lines('a;b', '1,234;2.345', '5,678;3.456'))).rejects.toMatchObject({
      code: 'dialect_unclear',
    });
  });
});

describe('header, units, titles', () => {
  test('no header', async () => {
    const t = await read(lines('0.0,1.5', '0.1,2.5'));
    expect(t.dialect).toMatchObject({ hasHeader: false, titleLines: 0 });
    expect(headersOf(t)).toEqual(['column 1', 'column 2']);
    expect(t.rows).toBe(2);
  });

  test('no header below a title', async () => {
    const t = await read(lines('Trace of helper 3', '0.0,1.5', '0.1,2.5'));
    expect(t.dialect).toMatchObject({ hasHeader: false, titleLines: 1 });
    expect(t.rows).toBe(2);
  });

  test('unit row with blank and bracketed cells', async () => {
    const t = await read(
      lines('Sample;Time;Speed;Torque;State', ';[ms];(rpm);% of rated;', '1;0;1,5;2;0', '2;4;2,5;3;1'),
    );
    expect(t.dialect).toMatchObject({ hasUnitRow: true });
    expect(unitsOf(t)).toEqual([undefined, 'ms', 'rpm', '% of rated', undefined]);
  });

  test('a unit row that says so in its first cell', async () => {
    const t = await read(lines('Index;Speed', 'Unit;rpm', '1;5', '2;6'));
    expect(unitsOf(t)).toEqual([undefined, 'rpm']);
  });

  test('a row of data types between header and rows is counted', async () => {
    const t = await read(lines('Time;Speed;On', 's;rpm;', 'REAL;REAL;BOOL', '0,5;5,5;1', '1,5;6;0'));
    expect(headersOf(t)).toEqual(['Time', 'Speed', 'On']);
    expect(unitsOf(t)).toEqual(['s', 'rpm', undefined]);
    expect(t.rows).toBe(2);
    expect(t.findings).toMatchObject([{ code: 'rows_skipped', where: { rows: 1, line: 3 } }]);
  });

  test('separators at the line ends, in rows only or everywhere', async () => {
    const rowsOnly = await read(lines('a;b', '1;2;', '3;4;'));
    expect(headersOf(rowsOnly)).toEqual(['a', 'b']);
    const everywhere = await read(lines('a;b;', '1;2;', '3;4;'));
    expect(headersOf(everywhere)).toEqual(['a', 'b']);
    expect(valuesOf(everywhere)).toEqual([
      [1, 3],
      [2, 4],
    ]);
    const headerOnly = await read(lines('a;b;', '1;2', '3;4'));
    expect(valuesOf(headerOnly)).toEqual([
      [1, 3],
      [2, 4],
    ]);
    for (const t of [rowsOnly, everywhere, headerOnly]) expect(t.findings).toEqual([]);
  });

  test('a named column without values stays', async () => {
    const t = await read(lines('a;b;c', '1;2;', '3;4;'));
    expect(headersOf(t)).toEqual(['a', 'b', 'c']);
    expect(column(t, 'c')).toMatchObject({ kind: 'number', blankCells: 2 });
  });

  test('duplicate and blank headers', async () => {
    const t = await read(lines('Time,Speed [rpm],Speed [rpm],,Speed [rpm] (2)', '0,1,2,3,4', '1,1,2,3,4'));
    expect(headersOf(t)).toEqual(['Time', 'Speed [rpm]', 'Speed [rpm] (3)', 'column 4', 'Speed [rpm] (2)']);
    expect(t.findings).toMatchObject([{ code: 'duplicate_headers', where: { header: 'Speed [rpm]' } }]);
  });

  test('a header over two lines in quotes', async () => {
    const t = await read('"Time\n[s]","Speed ""act""\r\n[rpm]"\r\n0,1\r\n1,2\r\n');
    expect(headersOf(t)).toEqual(['Time\n[s]', 'Speed "act"\r\n[rpm]']);
    expect(unitsOf(t)).toEqual(['s', 'rpm']);
    expect(t.rows).toBe(2);
  });

  test('a quotation mark in a title that is never closed', async () => {
    const t = await read(lines('"Trace of helper 3', 'a;b', '1;2', '3;4'));
    expect(t.dialect).toMatchObject({ titleLines: 1 });
    expect(valuesOf(t)).toEqual([
      [1, 3],
      [2, 4],
    ]);
  });

  test('thousands of columns', async () => {
    const width = 3000;
    const row = (k: number): string => Array.from({ length: width }, (_, i) => i * k).join(',');
    const t = await read(
      lines(
        Array.from({ length: width }, (_, i) => `c${i}`).join(','),
        ...Array.from({ length: 200 }, (_, k) => row(k)),
      ),
    );
    expect(t.rows).toBe(200);
    expect(column(t, 'c2999').values[199]).toBe(2999 * 199);
  });

  test('header and rows of different width are refused with both numbers', async () => {
    await expect(read(lines('a,b,c', '1,2', '3,4'))).rejects.toMatchObject({
      code: 'dialect_unclear',
      message: expect.stringMatching(/3 cells.*2/),
    });
  });

  test('a first row of quality words is a row', async () => {
    const t = await read(lines('Time;Speed', '---;Bad', '1;5', '2;6'));
    expect(t.rows).toBe(3);
    expect(column(t, 'Speed')).toMatchObject({ textCells: 1, firstText: { text: 'Bad', line: 2 } });
  });

  test('what is stated is not detected', async () => {
    const t = await read(lines('a;b', '1;2', '3;4', '5;6'), { dialect: { titleLines: 1, hasHeader: false } });
    expect(valuesOf(t)).toEqual([
      [1, 3, 5],
      [2, 4, 6],
    ]);
    const u = await read(lines('junk;1', 'junk;2', 'a;b', '3;4', '5;6'), { headerRow: 3 });
    expect(headersOf(u)).toEqual(['a', 'b']);
    const v = await read(lines('1;2', '3;4', '5;6'), { headerRow: 1 });
    expect(headersOf(v)).toEqual(['1', '2']);
    expect(v.rows).toBe(2);
    const w = await read(lines('a;b', 'aa;bb', '3;4'), { dialect: { hasUnitRow: true, titleLines: 0 } });
    expect(unitsOf(w)).toEqual(['aa', 'bb']);
  });

  test('only some columns, every row still checked whole', async () => {
    const text = lines('a;b;c', '1;2;3', '4;5', 'Total;7;8', '6;7;8');
    const t = await read(text, { columns: (h) => h === 'c' });
    expect(headersOf(t)).toEqual(['c']);
    expect(valuesOf(t)).toEqual([[3, 8]]);
    expect(codesOf(t)).toEqual(['rows_skipped', 'rows_skipped']);
  });
});
