import { describe, expect, test } from 'vitest';
import type { PlantKind } from '../../support/plant/plant.js';
import { runPlant } from '../../support/plantRecording.js';

// Truth is that of the invented plants, which share no code with the identification.
const seeds = [1, 2, 3, 4, 5, 6, 7, 8];

describe('inertia by ramp pair', () => {
  test.each<PlantKind>(['two-rate-ramps', 'staircase-up-down', 'full-test-both-directions'])(
    '%s: the intervals of the pairs hold the truth about as often as they say',
    (kind) => {
      let held = 0;
      let all = 0;
      for (const seed of seeds) {
        const { plant, identification } = runPlant(kind, seed);
        for (const { inertia, up, down } of identification.rampPairs ?? []) {
          const [low, high] = inertia.interval95;
          all++;
          if (low <= plant.truth.inertia_kgm2 && plant.truth.inertia_kgm2 <= high) held++;
          expect(up).not.toBe(down);
        }
      }
      expect(all).toBeGreaterThanOrEqual(seeds.length);
      // stated is 95 %; the scatter of a few windows and parts that repetition would not show leave some room
      expect(held / all).toBeGreaterThan(0.85);
    },
  );

  test('a pair is two used ramps of one direction, one speeding up and one slowing down, each in one pair at most', () => {
    const { identification } = runPlant('full-test-both-directions', 3);
    const { segments, rampPairs = [], trace } = identification;
    const speedAt = (t: number): number => trace?.speed[trace.time.findIndex((x) => x >= t)] ?? Number.NaN;
    expect(rampPairs.length).toBeGreaterThan(1);
    expect(new Set(rampPairs.map((p) => p.direction))).toEqual(new Set([1, -1]));
    for (const { up, down, direction } of rampPairs)
      for (const [k, grows] of [
        [up, true],
        [down, false],
      ] as const) {
        const s = segments[k];
        expect(s).toMatchObject({ kind: 'ramp', used: true });
        const change = direction * (speedAt(s.to - 0.02) - speedAt(s.from + 0.02));
        expect(change > 0).toBe(grows);
      }
    const ramps = rampPairs.flatMap((p) => [p.up, p.down]);
    expect(new Set(ramps).size).toBe(ramps.length);
  });

  test('a plateau point names the plateau that it was measured on', () => {
    const { identification } = runPlant('staircase-up-down', 2);
    const plateaus = (identification.dragCurve ?? []).filter((p) => p.from === 'plateau');
    expect(plateaus.length).toBeGreaterThan(3);
    for (const { segment, speed } of plateaus) {
      const s = identification.segments[segment as number];
      expect(s.kind).toBe('plateau');
      // the reason of a plateau states its speed
      expect(Number(/at ([\d.]+) rad/.exec(s.why)?.[1])).toBeCloseTo(speed, 0);
    }
    expect(
      (identification.dragCurve ?? []).filter((p) => p.from === 'fit' && p.segment !== undefined),
    ).toEqual([]);
  });

  test('no pairs where nothing speeds up and slows down', () => {
    const { identification } = runPlant('breakaway-only', 1);
    expect(identification.rampPairs ?? []).toEqual([]);
  });
});
