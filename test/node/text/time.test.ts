import { describe, expect, test } from 'vitest';
import { column, headersOf, lines, read, unitsOf } from './support.js';

/** Unix time of an ISO date-time in UTC, from the language's own parser: the outside check of ours. */
const unix = (iso: string): number => Date.parse(iso) / 1000;

async function times(...cells: string[]): Promise<{ kind: string; unix: number[]; values: number[] }> {
  const t = await read(lines('Stamp;v', ...cells.map((c, i) => `${c};${i}`)));
  const c = column(t, 'Stamp');
  return {
    kind: c.kind,
    values: [...c.values],
    unix: [...c.values].map((v) => v + (c.epoch_s ?? Number.NaN)),
  };
}

describe('date-times', () => {
  test.each([
    ['ISO with T, Z and fraction', '2026-12-31T23:59:59.5Z', '2026-12-31T23:59:59.500Z'],
    ['ISO with a blank and comma fraction', '2026-12-31 23:59:59,5', '2026-12-31T23:59:59.500Z'],
    ['offset from UTC', '2026-12-31T23:59:59+01:00', '2026-12-31T22:59:59Z'],
    ['offset without colon', '2026-12-31T23:59:59.25-0530', '2027-01-01T05:29:59.250Z'],
    ['local with points', '31.12.2026 23:59:59,5', '2026-12-31T23:59:59.500Z'],
    ['local with points, one-digit fields', '1.2.2026 3:04:05', '2026-02-01T03:04:05Z'],
    ['month first, PM', '12/31/2026 11:59:59.500 PM', '2026-12-31T23:59:59.500Z'],
    ['month first, 12 AM is midnight', '12/31/2026 12:00:00 AM', '2026-12-31T00:00:00Z'],
    ['year first with strokes', '2026/12/31 23:59:59', '2026-12-31T23:59:59Z'],
    ['month as a word', '31-Dec-26 23:59:59.125', '2026-12-31T23:59:59.125Z'],
    ['leap day', '2028-02-29 12:00', '2028-02-29T12:00:00Z'],
    ['before 1970', '1969-12-31 23:59:58', '1969-12-31T23:59:58Z'],
  ])('%s', async (_, cell, iso) => {
    const t = await times(cell, cell);
    expect(t.kind).toBe('datetime');
    expect(t.unix).toEqual([unix(iso), unix(iso)]);
  });

  test('microseconds survive: values count from the first stamp', async () => {
    const t = await times(
      '2026-12-31 23:59:59.000001',
      '2026-12-31 23:59:59.000002',
      '2027-01-01 00:00:00.000003',
    );
    expect(t.values).toEqual([0.000001, 0.000002, 1.000003]);
  });

  test('an impossible date is a word, not another day', async () => {
    const t = await read(
      lines('Stamp;v', '2026-02-28 00:00:00;1', '2026-02-29 00:00:00;2', '2026-03-01 00:00:00;3'),
    );
    expect(column(t, 'Stamp')).toMatchObject({
      textCells: 1,
      firstText: { text: '2026-02-29 00:00:00', line: 3 },
    });
  });
});

describe('order of day and month', () => {
  test('a field above 12 decides for the whole column, wherever it stands', async () => {
    const t = await times('01/02/2026 00:00', '02/02/2026 00:00', '13/02/2026 00:00');
    expect(t.unix[0]).toBe(unix('2026-02-01T00:00:00Z'));
    const u = await times('01/02/2026 00:00', '01/03/2026 00:00', '01/13/2026 00:00');
    expect(u.unix[0]).toBe(unix('2026-01-02T00:00:00Z'));
  });

  test('over midnight the field that changes is the day', async () => {
    const t = await times('05/06/2026 23:59:59', '05/07/2026 00:00:00');
    expect(t.unix).toEqual([unix('2026-05-06T23:59:59Z'), unix('2026-05-07T00:00:00Z')]);
  });

  test('open: day first, and a finding', async () => {
    const t = await read(lines('Stamp;v', '05/06/2026 10:00:00;1', '05/06/2026 10:00:01;2'));
    expect(column(t, 'Stamp').epoch_s).toBe(unix('2026-06-05T10:00:00Z'));
    expect(t.findings).toMatchObject([
      { code: 'date_order_unclear', where: { value: '05/06/2026 10:00:00' } },
    ]);
    const points = await read(lines('Stamp;v', '05.06.2026 10:00:00;1', '05.06.2026 10:00:01;2'));
    expect(points.findings).toEqual([]);
  });

  test('decided by the end of a long file', async () => {
    const rows: string[] = [];
    for (let h = 0; h < 24 * 20; h++) {
      for (let m = 0; m < 60; m++) {
        const day = 5 + Math.floor(h / 24);
        rows.push(`06/${String(day).padStart(2, '0')}/2026 ${h % 24}:${String(m).padStart(2, '0')}:00;${h}`);
      }
    }
    const t = await read(lines('Stamp;v', ...rows));
    expect(column(t, 'Stamp')).toMatchObject({ epoch_s: unix('2026-06-05T00:00:00Z'), textCells: 0 });
    expect(t.findings).toEqual([]);
  });
});

describe('clock times', () => {
  test('carried on past midnight, twice', async () => {
    const t = await times('23:59:59.990', '00:00:00,000', '12:00:00', '23:00:00', '0:00:01');
    expect(t.kind).toBe('clock');
    expect(t.values).toEqual([86399.99, 86400, 86400 + 43200, 86400 + 82800, 2 * 86400 + 1]);
  });

  test('a stamp out of order around midnight does not add a day', async () => {
    const t = await times('23:59:59.9', '00:00:00.1', '23:59:59.95', '00:00:00.2');
    expect(t.values).toEqual([86399.9, 86400.1, 86399.95, 86400.2]);
  });

  test('a small step back stays a step back', async () => {
    expect((await times('10:00:00', '09:59:59', '10:00:01')).values).toEqual([36000, 35999, 36001]);
  });

  test('elapsed time beyond 24 hours', async () => {
    expect((await times('23:59:59', '24:00:00', '25:00:01')).values).toEqual([86399, 86400, 90001]);
  });

  test('minutes and seconds with fraction, carried on past the hour', async () => {
    expect((await times('59:59.5', '00:00.0', '00:00.5')).values).toEqual([3599.5, 3600, 3600.5]);
  });

  test('the batch length does not matter', async () => {
    const text = lines('Stamp;v', '23:59:58;1', '23:59:59;2', '0:00:00;3', '0:00:01;4');
    const t = await read(text, { batchRows: 1 });
    expect([...column(t, 'Stamp').values]).toEqual([86398, 86399, 86400, 86401]);
  });
});

describe('date and clock time in two columns', () => {
  test.each([
    ['Date;Time;v', '31.12.2026;23:59:59,5;1', '01.01.2027;00:00:00,5;2', 'Date Time'],
    ['Time;Date;v', '23:59:59,5;31.12.2026;1', '00:00:00,5;01.01.2027;2', 'Date Time'],
  ])('%s', async (header, first, second, joined) => {
    const t = await read(lines(header, first, second, ';;3'));
    expect(headersOf(t)).toEqual([joined, 'v']);
    expect(unitsOf(t)).toEqual([undefined, undefined]);
    const c = column(t, joined);
    expect(c.kind).toBe('datetime');
    expect([...c.values].map((v) => v + c.epoch_s!)).toEqual([
      unix('2026-12-31T23:59:59.500Z'),
      unix('2027-01-01T00:00:00.500Z'),
      Number.NaN,
    ]);
    expect(c.blankCells).toBe(1);
  });

  test('dates alone are date-times', async () => {
    expect((await times('2026-12-30', '2026-12-31')).values).toEqual([0, 86400]);
  });

  test('without header', async () => {
    const t = await read(lines('2026-12-31;10:00:00;5', '2026-12-31;10:00:01;6'));
    expect(headersOf(t)).toEqual(['column 1', 'column 3']);
  });
});

test('epoch seconds, milliseconds and sample numbers stay numbers', async () => {
  const t = await read(
    lines('t_s,t [ms],n', '1767225600.25,1767225600250,0', '1767225600.5,1767225600500,1'),
  );
  expect(t.columns.map((c) => c.kind)).toEqual(['number', 'number', 'number']);
  expect(unitsOf(t)).toEqual(['s', 'ms', undefined]);
  expect([...t.columns[0]!.values]).toEqual([1767225600.25, 1767225600.5]);
});
