import { describe, expect, it } from 'vitest';
import type { Finding } from '../../../src/engine/findings.js';
import { buildTimeBase } from '../../../src/engine/recording/timeBase.js';
import { ramp } from './tables.js';

function build(values: number[]) {
  const findings: Finding[] = [];
  const base = buildTimeBase(Float64Array.from(values), findings);
  return { base, findings, codes: findings.map((f) => `${f.code}:${f.severity}`) };
}

const increasing = (t: Float64Array): boolean => t.every((v, k) => k === 0 || v > t[k - 1]);

/** Largest distance between the times and those of even sampling at `step`, a common shift left aside. */
function unevenness(t: Float64Array, step: number): number {
  const shift = t.map((v, k) => v - k * step);
  return Math.max(...shift) - Math.min(...shift);
}

describe('time base', () => {
  it('keeps an even time as it is, from where the file has it', () => {
    const { base, codes } = build(ramp(100, (i) => 1000 + i / 1000));
    expect(codes).toEqual([]);
    expect(base?.time[0]).toBe(1000);
    expect(Array.from(base!.rows)).toEqual(ramp(100));
  });

  it('refuses time that runs backwards, with row and both values', () => {
    const { base, findings } = build([0, 1, 2, 1.5, 3]);
    expect(base).toBeUndefined();
    expect(findings).toMatchObject([
      { code: 'time_backwards', severity: 'refuse', where: { row: 4, previous_s: 2, current_s: 1.5 } },
    ]);
  });

  it('drops and counts rows without time', () => {
    const { base, codes } = build([0, 1, Number.NaN, 2, 3]);
    expect(codes).toEqual(['rows_skipped:warn']);
    expect(Array.from(base!.rows)).toEqual([0, 1, 3, 4]);
  });

  it.each([
    ['10 rows a second', 0.1, 1, 0],
    ['10 rows a second, first and last second cut', 0.1, 1, 0.37],
    ['2 or 3 rows a stamp', 0.4, 1, 0],
    ['1 or 2 rows a stamp', 0.6e-3, 1e-3, 0],
    ['a 1 kHz recording stamped every 10 ms', 1e-3, 1e-2, 0.0042],
  ])('spreads coarse stamps evenly: %s', (_, step, stamp, phase) => {
    const truth = ramp(503, (i) => i * step + phase);
    const { base, codes } = build(truth.map((t) => Math.floor(t / stamp + 1e-9) * stamp));
    expect(codes).toEqual(['duplicate_timestamps:warn']);
    expect(base?.time).toHaveLength(503);
    // the phase within a stamp is unknown, the spacing is not: within a quarter of a sample over the whole recording
    expect(unevenness(base!.time, step)).toBeLessThan(0.25 * step);
    expect(increasing(base!.time)).toBe(true);
  });

  it('keeps a hole in coarse stamps a hole', () => {
    const truth = ramp(400, (i) => i * 0.1 + (i < 200 ? 0 : 60));
    const { base, codes } = build(truth.map((t) => Math.floor(t + 1e-9)));
    expect(codes).toEqual(['duplicate_timestamps:warn', 'missing_samples:warn']);
    expect(base!.time).toHaveLength(401);
    expect(unevenness(base!.time.subarray(0, 200), 0.1)).toBeLessThan(0.025);
    expect(unevenness(base!.time.subarray(201), 0.1)).toBeLessThan(0.025);
  });

  it('drops isolated repeats, the later row, and counts them', () => {
    const { base, findings } = build([0, 1, 2, 2, 3, 4, 5, 5, 6, 7, 8, 9]);
    expect(findings).toMatchObject([
      { code: 'duplicate_timestamps', severity: 'warn', where: { rows: 2, first_row: 4 } },
    ]);
    expect(Array.from(base!.rows)).toEqual([0, 1, 2, 4, 5, 6, 8, 9, 10, 11]);
  });

  it('does not spread repeats that follow no even sampling', () => {
    // invented: 3 rows a stamp, then 30
    const stamps = ramp(40).flatMap((s) => ramp(s < 20 ? 3 : 30, () => s));
    const { base } = build(stamps);
    expect(base!.time).toHaveLength(40);
  });

  it('marks each gap by one row without values and says how many and how long', () => {
    const { base, findings } = build([0, 1, 2, 3, 7, 8, 9, 10, ...ramp(20, (i) => 12 + i)]);
    expect(findings).toMatchObject([
      { code: 'missing_samples', severity: 'warn', where: { gaps: 2, longest_s: 4, first_s: 3 } },
    ]);
    expect(base!.time).toHaveLength(30);
    expect(base!.rows.filter((r) => r < 0)).toHaveLength(2);
    expect(base!.rows[4]).toBe(-1);
    expect(increasing(base!.time)).toBe(true);
  });

  it('keeps the real times of irregular samples, warns, and does not see a gap in every jitter', () => {
    // invented jitter of up to ±40 % by the golden ratio
    const t = ramp(500, (i) => 0.01 * (i + 0.8 * (((i * 0.6180339887) % 1) - 0.5)));
    const { base, codes } = build(t);
    expect(codes).toEqual(['irregular_sampling:warn']);
    expect(Array.from(base!.time)).toEqual(t);
  });
});
