import { describe, expect, test } from 'vitest';
import { board } from '../../../../src/engine/project/board/board.js';
import type { BoardInput } from '../../../../src/engine/project/board/boardInput.js';
import {
  broken,
  complete,
  file,
  line,
  product,
  recording,
  result,
  rowOf,
  without,
} from '../../../support/boardFixture.js';

describe('limits', () => {
  test('what is left of the tightest limit, by hand for a helper', () => {
    const { cells } = rowOf(board(complete()), 'helper');
    if (cells.limits.state !== 'value') throw new Error('no limits');
    // the motor turns at 5 m/s · 2.5 / 0.1 m = 125 rad/s of 150 allowed: 1/6 is left, less than of any torque
    expect(cells.limits.value).toBeCloseTo(1 / 6, 9);
    expect(cells.limits.words).toContain('speed');
    expect(cells.limits.from.product).toBe('products/invented.yaml');
  });

  test('a broken limit is a value with its refusal, and an entry', () => {
    const fast = { ...line, speed: { ...line.speed, top_m_per_s: 7 } };
    const document = board({ ...complete(), line: file('line.yaml', fast) });
    // 175 rad/s of 150
    expect(rowOf(document, 'helper').cells.limits).toMatchObject({
      state: 'value',
      value: expect.closeTo(-1 / 6, 9),
    });
    expect(document.next[0]).toMatchObject({
      weight: 'limit-broken',
      row: 'helper',
      code: 'motor_too_slow',
      action: { kind: 'mend-limit', view: 'programs', parameters: { product: 'products/invented.yaml' } },
    });
  });

  test.each<[string, Partial<BoardInput>, string]>([
    ['no product', { products: [] }, 'write-program'],
    ['a product that cannot be read', { products: [broken('products/invented.yaml')] }, 'write-program'],
    ['no speed', { line: file('line.yaml', { ...line, speed: undefined }) }, 'state-drive'],
    [
      'a reference to nothing',
      {
        line: file('line.yaml', {
          ...line,
          sections: [...line.sections, { name: 'x', kind: 'idler', like: 'y' }],
        }),
      },
      'correct-document',
    ],
  ])('%s: one entry for the line, none a row', (_, more, kind) => {
    const document = board({ ...complete(), ...more });
    for (const row of document.rows)
      expect(row.cells.limits).toMatchObject({ state: 'missing', action: { kind } });
    const entries = document.next.filter((n) => n.facts.includes('limits'));
    expect(entries).toHaveLength(1);
    expect(entries[0].row).toBeUndefined();
    expect(entries[0].facts).toEqual(['limits']);
  });

  test.each([
    ['a', 'b'],
    ['b', 'a'],
  ])('of two products the one that leaves less counts (%s winds lightly, %s tightly)', (light, tight) => {
    const sections = [
      ...line.sections.filter((s) => s.name !== 'dryer'),
      {
        name: 'winder',
        kind: 'winder' as const,
        type: 'centre' as const,
        core_diameter_m: 0.3,
        full_diameter_m: 0.8,
        core_inertia_kgm2: 0.1,
        drive: 'drives/dryer.yaml',
      },
    ];
    const wound = (tension: number) => ({
      ...product,
      winder: {
        core_diameter_m: 0.3,
        full_diameter_m: 0.8,
        tension: { law: 'constant' as const, start_N_per_m: tension },
      },
    });
    const document = board({
      ...complete(),
      line: file('line.yaml', { ...line, sections }),
      products: [file(`products/${light}.yaml`, wound(50)), file(`products/${tight}.yaml`, wound(400))],
    });
    // 400 N/m over 1.6 m at a radius of 0.4 m through the gear of 2.5 takes more than the 30 N·m that the motor has
    expect(rowOf(document, 'winder').cells.limits).toMatchObject({
      state: 'value',
      from: { product: `products/${tight}.yaml` },
    });
    expect((rowOf(document, 'winder').cells.limits as { value: number }).value).toBeLessThan(0);
  });
});

describe('proven on the web', () => {
  const webOn = {
    code: 'web_on' as const,
    severity: 'warn' as const,
    message: 'web on',
    where: {},
    next: '',
  };
  const production = (drive: 'spreader' | 'puller', torque: number, inertia = 0.0201) => {
    const input = complete();
    const points = [40, 80, 120, 200].map((speed) => ({
      speed,
      torque: torque + 0.6 + 0.003 * speed + 1e-5 * speed ** 2,
      halfWidth95: 0.05,
      from: 'fit' as const,
    }));
    const on = result(
      drive,
      'production',
      { verdict: 'warned', findings: [webOn], apparentDragCurve: points, covariance: undefined },
      { inertia: [inertia, 0.0005] },
    );
    return board({
      ...input,
      recordings: [...input.recordings, recording(`exports/${drive}.production.csv`)],
      identifications: [...input.identifications, file(`identifications/${drive}.production.json`, on)],
    });
  };

  test('agrees within both intervals, and the designed test stays the one that holds', () => {
    const { cells } = rowOf(production('spreader', 0.02), 'helper');
    expect(cells.inertia).toMatchObject({ value: 0.02, from: { visit: 'as-found' } });
    expect(cells.proven).toMatchObject({
      state: 'value',
      value: expect.closeTo(0.02, 9),
      quantity: 'torque',
      from: { visit: 'production' },
    });
  });

  test('does not agree: missing, with what differs and where', () => {
    const document = production('spreader', 0.2);
    const { cells } = rowOf(document, 'helper');
    expect(cells.proven).toMatchObject({
      state: 'missing',
      action: { kind: 'look-at-result', view: 'identify' },
    });
    expect(JSON.stringify(cells.proven)).toContain('0.200 N·m');
    expect(document.next).toContainEqual(
      expect.objectContaining({ weight: 'not-proven', row: 'helper', facts: ['proven'] }),
    );
  });

  test('where the drive holds tension only the inertia counts', () => {
    expect(rowOf(production('puller', 3), 'puller').cells.proven).toMatchObject({
      state: 'value',
      quantity: 'inertia',
    });
    expect(rowOf(production('puller', 3, 0.022), 'puller').cells.proven.state).toBe('missing');
  });

  test('not recorded: the test to make', () => {
    expect(rowOf(board(complete()), 'helper').cells.proven).toMatchObject({
      state: 'missing',
      action: { kind: 'record-test', parameters: { drive: 'spreader', test: 'web-on' } },
    });
  });

  test('web on alone is no designed test', () => {
    const all = production('spreader', 0);
    expect(rowOf(all, 'helper').cells.inertia.state).toBe('value');
    const input = complete();
    const on = result(
      'spreader',
      'as-found',
      { findings: [webOn], verdict: 'warned' },
      { inertia: [0.02, 1e-4] },
    );
    const { cells } = rowOf(
      board({ ...input, identifications: [file('identifications/spreader.as-found.json', on)] }),
      'helper',
    );
    expect(cells.inertia).toMatchObject({ state: 'missing', action: { kind: 'record-test' } });
  });
});

describe('next visit', () => {
  const visited = (visit: string, today?: string) => {
    const input = without(complete(), 'dryer');
    const document = board({
      ...input,
      ...(today !== undefined && { today }),
      recordings: [...input.recordings, recording(`exports/dryer.${visit}.csv`)],
      identifications: [
        ...input.identifications,
        file(`identifications/dryer.${visit}.json`, result('dryer', visit)),
      ],
    });
    return { cell: rowOf(document, 'dryer').cells.nextVisit, next: document.next };
  };

  test('thirty days after a dated visit, over the end of a leap February, due on the day', () => {
    // 10 to 29 February are 19 days, 11 more are left
    expect(visited('2028-02-10').cell).toMatchObject({ state: 'value', date: '2028-03-11' });
    const isDue = (today: string): boolean =>
      visited('2028-02-10', today).next.some((n) => n.weight === 'visit-due' && n.row === 'dryer');
    expect(isDue('2028-03-10')).toBe(false);
    expect(isDue('2028-03-11')).toBe(true);
    expect(isDue('2028-03-11T08:00:00Z')).toBe(true);
  });

  test.each(['as-found', 'as-left', '2026-02-31'])('%s is no date', (visit) => {
    const { cell } = visited(visit);
    expect(cell).toMatchObject({ state: 'missing' });
    expect(JSON.stringify(cell)).toContain('not dated');
  });

  test('none for a drive of little drag, and none before the first recording', () => {
    const document = board(without(complete(), 'dryer'));
    expect(rowOf(document, 'puller').cells.nextVisit).toEqual({
      state: 'missing',
      reason: expect.stringContaining('no visit'),
    });
    expect(rowOf(document, 'dryer').cells.nextVisit).toMatchObject({
      state: 'missing',
      action: { kind: 'record-test' },
    });
  });
});
