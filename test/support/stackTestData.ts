import { createRandom } from '../../src/engine/numerics/random.js';

/** An invented stack and how it is tested; SI. */
export interface StackTruth {
  /** Strain of a settled stack over pressure. */
  readonly strain: (pressure: number) => number;
  readonly sheets: number;
  readonly caliper: number;
  readonly lowest: number;
  readonly highest: number;
  readonly loadings: number;
  readonly samplesUp: number;
  /** Share of its height by which the first loading is still to settle; each further one a seventh of it. */
  readonly setting: number;
  /** Standard deviation of the gauge [m], and how much of it the next sample keeps. */
  readonly noise: number;
  readonly memory: number;
  readonly seed: number | string;
}

/** The invented paper of the demonstration line: K1 = 8 kPa, K2 = 40, 100 µm. */
export const demoStack: StackTruth = {
  strain: (p) => Math.log1p(p / 8000) / 40,
  sheets: 100,
  caliper: 100e-6,
  lowest: 1000,
  highest: 5e5,
  loadings: 4,
  samplesUp: 45,
  setting: 0.02,
  noise: 3e-6,
  memory: 0.3,
  seed: 'stack test of the demonstration line',
};

/** Pressure and height of a stack over its loadings, the ways down with hysteresis; a wait at the highest pressure, where it creeps. */
export function stackTestData(truth: StackTruth): { pressure: Float64Array; height: Float64Array } {
  const { lowest, highest, samplesUp: n } = truth;
  const random = createRandom(truth.seed);
  const pressure: number[] = [];
  const height: number[] = [];
  let error = random.normal();
  const put = (p: number, strain: number, loading: number): void => {
    const set = 1 + truth.setting * Math.exp(-2 * loading);
    pressure.push(p);
    height.push(truth.sheets * truth.caliper * set * (1 - strain) + truth.noise * error);
    error = truth.memory * error + Math.sqrt(1 - truth.memory ** 2) * random.normal();
  };
  const at = (share: number): number => lowest * (highest / lowest) ** share;
  for (let loading = 0; loading < truth.loadings; loading++) {
    for (let k = 0; k <= n; k++) put(at(k / n), truth.strain(at(k / n)), loading);
    for (let k = 1; k <= 5; k++) put(highest, truth.strain(highest) + 2e-4 * Math.log(1 + k), loading);
    for (let k = 1; k < n; k++) {
      const p = at(1 - k / n);
      put(p, truth.strain(p) + 0.004 * Math.sin((Math.PI * k) / n), loading);
    }
  }
  return { pressure: Float64Array.from(pressure), height: Float64Array.from(height) };
}

/** The same as delimited text, labelled as invented. */
export function stackTestText(truth: StackTruth): string {
  const { pressure, height } = stackTestData(truth);
  const rows = Array.from(
    pressure,
    (p, i) => `${(p / 1e3).toFixed(3)},${((height[i] as number) * 1e3).toFixed(4)}`,
  );
  return `INVENTED stack test of the demonstration line. Every number is made up.\npressure [kPa],height [mm]\n${rows.join('\n')}\n`;
}
