import { describe, expect, test } from 'vitest';
import { codesOf, column, headersOf, lines, read, unitsOf, valuesOf } from './support.js';

const text = lines(
  'Drehzahl [1/min];Kühlung [°C];µ-Wert',
  '1200,5;20,25;0,5',
  '1201;Übertemp;0,25',
  '1202;21;0,125',
);

const utf16be = (s: string): Buffer => Buffer.from(s, 'utf16le').swap16();

describe('encodings', () => {
  test.each([
    ['utf-8', 'UTF-8', Buffer.from(text)],
    ['utf-8', 'UTF-8 with mark', Buffer.from(`\ufeff${text}`)],
    ['utf-16le', 'UTF-16 LE with mark', Buffer.from(`\ufeff${text}`, 'utf16le')],
    ['utf-16le', 'UTF-16 LE without mark', Buffer.from(text, 'utf16le')],
    ['utf-16be', 'UTF-16 BE with mark', utf16be(`\ufeff${text}`)],
    ['utf-16be', 'UTF-16 BE without mark', utf16be(text)],
    ['latin-1', 'Latin-1', Buffer.from(text, 'latin1')],
  ] as const)('%s: %s', async (encoding, _, bytes) => {
    const t = await read(bytes);
    expect(t.dialect).toMatchObject({ encoding, separator: ';', decimal: ',', titleLines: 0 });
    expect(headersOf(t)).toEqual(['Drehzahl [1/min]', 'Kühlung [°C]', 'µ-Wert']);
    expect(unitsOf(t)).toEqual(['1/min', '°C', undefined]);
    expect(valuesOf(t)).toEqual([
      [1200.5, 1201, 1202],
      [20.25, Number.NaN, 21],
      [0.5, 0.25, 0.125],
    ]);
    expect(column(t, 'Kühlung [°C]').firstText).toEqual({ text: 'Übertemp', line: 3 });
  });

  test('signs of Windows-1252 that Latin-1 lacks', async () => {
    const t = await read(Buffer.concat([Buffer.from('a [\x89],b\n1,2\n', 'latin1')]));
    expect(unitsOf(t)[0]).toBe('‰');
  });

  test('a stray byte deep in a UTF-8 file shows in the text, and nothing fails', async () => {
    const rows = Array.from({ length: 60_000 }, (_, i) => `${i};${i / 2}`).join('\n');
    const t = await read(
      Buffer.concat([Buffer.from(`n;v\n${rows}\n`), Buffer.from('60000;gest\xf6rt\n', 'latin1')]),
    );
    expect(column(t, 'v').firstText).toEqual({ text: 'gestört', line: 60_002 });
  });

  test('a stated encoding is used', async () => {
    const t = await read(Buffer.from('é,b\n1,2\n'), { dialect: { encoding: 'latin-1' } });
    expect(headersOf(t)[0]).toBe('Ã©');
  });
});

describe('line ends', () => {
  test.each([
    ['LF', '\n'],
    ['CRLF', '\r\n'],
    ['CR', '\r'],
  ])('%s, with and without one at the end', async (_, end) => {
    for (const last of [end, '']) {
      const t = await read(['Trace', 'a;b', '1;2', 'x;3', '5;6'].join(end) + last);
      expect(valuesOf(t)).toEqual([
        [1, Number.NaN, 5],
        [2, 3, 6],
      ]);
      expect(column(t, 'a').firstText).toEqual({ text: 'x', line: 4 });
      expect(codesOf(t)).toEqual([]);
    }
  });
});

describe('the pieces in which a file is read do not matter', () => {
  const ugly = [
    `\ufeff"Drive ""3"""\r\nStart;31.12.2026\r\n\r\n"Time\n[ms]";Stamp;Date;Clock;Speed (rpm);OK\r\n`,
    `;;;;;\r\n0;23:59:59,9;31.12.2026;23:59:59,9;"1.200,5";on\r\n1;00:00:00,1;01.01.2027;00:00:00,1;Übertemp;off\r\n`,
    `2;0:00:01;01.01.2027;00:00:01;1e2;\r\n3;;\r\n\r\n"4";"0:00:02";;;-0,5;on\r\n5;0:00:03;01.01.2027;00:00:03;123456789012345678;Bad\r\nEnde;;;;;`,
  ].join('');

  test.each([
    ['UTF-8', Buffer.from(ugly)],
    ['UTF-16', Buffer.from(ugly, 'utf16le')],
    ['CR only', Buffer.from(ugly.replaceAll('\r\n', '\r'))],
  ])('%s', async (_, bytes) => {
    const whole = await read(bytes);
    expect(whole.rows).toBe(5);
    expect([...whole.columns[0]!.values]).toEqual([0, 1, 2, 4, 5]);
    for (const chunkBytes of [1, 7, 64]) {
      for (const batchRows of [1, 3, 65536]) {
        const t = await read(bytes, { chunkBytes, batchRows });
        const strip = (x: typeof t) => ({
          ...x,
          source: x.source.sha256,
          findings: x.findings.map((f) => ({ ...f.where, file: '' })),
        });
        expect(strip(t)).toEqual(strip(whole));
      }
    }
  });

  test('rows on the edges of many reads', async () => {
    const rows = Array.from(
      { length: 5000 },
      (_, i) => `${i};${(i * 0.37).toFixed(4)};${i % 3 === 0 ? 'Bad' : i}`,
    );
    const content = lines('n;v;w', ...rows);
    const whole = await read(content);
    for (const chunkBytes of [61, 509, 4099]) {
      const t = await read(content, { chunkBytes, batchRows: 97 });
      expect(valuesOf(t)).toEqual(valuesOf(whole));
      expect(column(t, 'w')).toMatchObject({ textCells: 1667, firstText: { text: 'Bad', line: 2 } });
    }
  });
});
