import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { displayUnit } from '../../src/engine/units/convert.js';
import type { RecordingTrace } from '../../src/workbench/api/types.js';
import { channelsOf, lanesOf, usualChannels } from '../../src/workbench/components/trend/channels.js';
import {
  bucketAt,
  type Held,
  heldOf,
  isFine,
  piecesFor,
  rangeOf,
  valueAt,
  withRoom,
} from '../../src/workbench/components/trend/held.js';
import { csvOf, figureOf } from '../../src/workbench/components/trend/trendFile.js';
import {
  clamped,
  fromAddress,
  panned,
  toAddress,
  zoomed,
} from '../../src/workbench/components/trend/window.js';

/** Samples 0, 1, 2 ... of a function joined into buckets, as the server does it. */
function joined(from: number, to: number, per: number, value: (t: number) => number): Held {
  const rows: number[] = [];
  for (let t = from; t < to; t += per) {
    const values = Array.from({ length: per }, (_, k) => value(t + k));
    rows.push(t, Math.min(...values), Math.max(...values));
  }
  return { from, to, buckets: Float64Array.from(rows), isRaw: per === 1 };
}
const spike = (t: number): number => (t === 637 ? 99 : t % 7);

describe('what a trend draws of what it holds', () => {
  const coarse = joined(0, 1000, 50, spike);
  const fine = joined(300, 600, 5, spike);

  test('everywhere the finest, coarse where nothing finer has come, nothing twice', () => {
    const pieces = piecesFor([coarse, fine], { from: 200, to: 700 }, 1);
    expect(pieces.map((p) => [p.from, p.to, p.held === fine])).toEqual([
      [200, 300, false],
      [300, 600, true],
      [600, 700, false],
    ]);
  });

  test('pieces cover a window without gap or overlap, whatever is held besides the whole', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.tuple(
            fc.integer({ min: 0, max: 900 }),
            fc.integer({ min: 5, max: 100 }),
            fc.constantFrom(1, 5, 20),
          ),
        ),
        fc.integer({ min: 0, max: 900 }),
        fc.integer({ min: 10, max: 100 }),
        fc.constantFrom(0.01, 0.5, 5, 80),
        (parts, from, length, perPixel) => {
          const held = [coarse, ...parts.map(([a, n, per]) => joined(a, a + n * per, per, spike))];
          const pieces = piecesFor(held, { from, to: from + length }, perPixel);
          expect(pieces[0]?.from).toBe(from);
          expect(pieces.at(-1)?.to).toBe(Math.min(from + length, 1e9));
          for (const [k, p] of pieces.entries()) if (k > 0) expect(p.from).toBe(pieces[k - 1]?.to);
        },
      ),
    );
  });

  test('no peak is lost: the range of a window holds every sample in it, at any grain', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 990 }),
        fc.integer({ min: 1, max: 400 }),
        fc.constantFrom(1, 5, 50),
        (from, length, per) => {
          const held = joined(0, 1000, per, spike);
          const to = Math.min(999, from + length);
          const range = rangeOf(piecesFor([held], { from, to: to + 1e-9 }, per));
          const samples = Array.from({ length: to - from + 1 }, (_, k) => spike(from + k));
          expect(range?.[0]).toBeLessThanOrEqual(Math.min(...samples));
          expect(range?.[1]).toBeGreaterThanOrEqual(Math.max(...samples));
        },
      ),
    );
  });

  test('what is much finer than the screen is passed over where something coarser covers it', () => {
    const [piece] = piecesFor([coarse, fine], { from: 300, to: 600 }, 1000);
    expect(piece?.held).toBe(coarse);
  });

  test('a gap holds no value, and a channel of gaps no range', () => {
    const gap = {
      from: 0,
      to: 2,
      isRaw: true,
      buckets: Float64Array.from([0, Number.NaN, Number.NaN, 1, Number.NaN, Number.NaN]),
    };
    expect(rangeOf(piecesFor([gap], gap, 0.1))).toBeUndefined();
    expect(valueAt([gap], 0.4, 0.1)).toBeUndefined();
  });

  test('read out: the nearest sample, or the range of the samples about', () => {
    expect(valueAt([joined(0, 1000, 1, (t) => t)], 41.6, 0.1)).toEqual([42, 42]);
    expect(valueAt([coarse], 640, 1)).toEqual([0, 99]);
    expect(bucketAt(coarse, -5)).toBe(0);
    expect(bucketAt(coarse, 5000)).toBe(19);
  });

  test('values come to SI once, and fewer buckets than asked for are samples', () => {
    const held = heldOf({ from: 0, to: 1 }, Float64Array.from([0, 60, 120]), 2, (2 * Math.PI) / 60);
    expect(held.isRaw).toBe(true);
    expect(held.buckets[1]).toBeCloseTo(2 * Math.PI, 12);
    expect(heldOf({ from: 0, to: 1 }, Float64Array.from([0, 1, 2]), 1, 1).isRaw).toBe(false);
  });

  test('fine enough is what a screen can show', () => {
    expect(isFine([fine], { from: 300, to: 400 }, 5)).toBe(true);
    expect(isFine([fine], { from: 300, to: 400 }, 1)).toBe(false);
    expect(isFine([fine], { from: 290, to: 400 }, 5)).toBe(false);
  });

  test('an axis has room and shows zero where it is near', () => {
    expect(withRoom([2, 10], true)[0]).toBe(0);
    expect(withRoom([9, 10], true)[0]).toBeCloseTo(8.94, 9);
    expect(withRoom([2, 10], false)[0]).toBeCloseTo(1.52, 9);
    const [low, high] = withRoom([0, 0], true);
    expect(low).toBeLessThan(high);
    expect(withRoom(undefined, true)).toEqual([0, 1]);
  });
});

describe('the window of a trend', () => {
  const whole = { from: 10, to: 110 };
  test('stays in the recording, keeps its length at the ends, and is the whole exactly when it would be more', () => {
    expect(clamped(panned({ from: 10, to: 30 }, -50), whole, 1)).toEqual({ from: 10, to: 30 });
    expect(clamped(panned({ from: 10, to: 30 }, 500), whole, 1)).toEqual({ from: 90, to: 110 });
    expect(clamped({ from: -5, to: 300 }, whole, 1)).toEqual(whole);
    const tiny = clamped({ from: 50, to: 50.001 }, whole, 2);
    expect(tiny.to - tiny.from).toBeCloseTo(2, 12);
  });
  test('a zoom keeps the time under the pointer, and the opposite zoom undoes it', () => {
    const near = zoomed({ from: 20, to: 40 }, 0.25, 25);
    expect((25 - near.from) / (near.to - near.from)).toBeCloseTo(0.25, 12);
    const back = zoomed(near, 4, 25);
    expect(back.from).toBeCloseTo(20, 12);
    expect(back.to).toBeCloseTo(40, 12);
  });
  test('is in the address, to less than a pixel, and comes back from it', () => {
    const window = { from: 1234.567891, to: 1234.987654 };
    const back = fromAddress(new URLSearchParams(toAddress(window)));
    expect(Math.abs((back?.from ?? 0) - window.from)).toBeLessThan((window.to - window.from) / 2000);
    for (const text of ['', 'from=3', 'from=5&to=4', 'from=x&to=4'])
      expect(fromAddress(new URLSearchParams(text))).toBeUndefined();
  });
});

describe('channels of a trend', () => {
  const trace: Pick<RecordingTrace, 'columns'> = {
    columns: [
      { header: 'Time', unit: 's', kind: 'number', role: 'time' },
      { header: 'Oven', unit: '°C', kind: 'number' },
      { header: 'Speed act', unit: 'rpm', kind: 'number', role: 'motor-speed' },
      { header: 'Speed set', unit: 'rpm', kind: 'number', role: 'speed-reference' },
      { header: 'Line', unit: 'm/min', kind: 'number', role: 'line-speed' },
      { header: 'Torque', unit: '%', kind: 'number', role: 'motor-torque' },
      { header: 'On', unit: '-', kind: 'boolean', role: 'drive-enabled' },
      { header: 'Remark', kind: 'text' },
    ],
  };
  const units = { unit: (key: Parameters<typeof displayUnit>[0]) => displayUnit(key, 'si') };
  const all = channelsOf(trace);

  test('the time is the axis, text is not drawn, roles come first', () => {
    expect(all.map((c) => c.key)).toEqual([
      'motor-speed',
      'speed-reference',
      'line-speed',
      'motor-torque',
      'drive-enabled',
      'Oven',
    ]);
    expect(usualChannels(all)).toHaveLength(5);
    // rpm by definition: 2 pi / 60 rad/s
    expect(all[0]?.factor).toBeCloseTo(0.10471975511965977, 15);
  });

  test('what shares a quantity shares a lane; a unit that is not known stays as it is written', () => {
    const lanes = lanesOf(all, units);
    expect(lanes.map((l) => [l.axis, l.channels.length])).toEqual([
      ['rotational speed, ω [rad/s]', 2],
      ['line speed, v [m/min]', 1],
      ['motor torque, τ [%]', 1],
      ['drive enabled', 1],
      ['Oven [°C]', 1],
    ]);
  });

  test('the window is kept as CSV with decimal points, and as a figure with its stretches cut to it', () => {
    const [lane] = lanesOf(all.slice(0, 2), units);
    const painter = {
      window: { from: 10, to: 20 },
      shown: (l: NonNullable<typeof lane>) =>
        l.channels.map((channel) => ({
          channel,
          rows: [
            [10, 1, 2.5],
            [15, Number.NaN, Number.NaN],
          ] as [number, number, number][],
        })),
    };
    expect(
      csvOf('Time, t [s]', lane ? [lane] : [], painter)
        .split('\n')
        .slice(0, 3),
    ).toEqual([
      'channel,unit,"Time, t [s]",least,greatest',
      'motor speed,rad/s,10,1,2.5',
      'motor speed,rad/s,15,,',
    ]);
    const figure = figureOf(
      'x',
      'Time, t [s]',
      lane ? [lane] : [],
      [{ id: 'a', from: 5, to: 12, tone: 'ramp', letter: 'R', title: 'ramp up' }],
      painter,
    );
    expect(figure.spans?.map((s) => [s.from, s.to])).toEqual([[10, 12]]);
    expect(figure.panels[0]?.marks.map((m) => m.kind)).toEqual(['trace', 'line']);
  });
});
