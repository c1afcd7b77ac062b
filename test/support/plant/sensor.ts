/** How a trace becomes a column: filter, delay, sampling or averaging, scale, offset, noise, quantisation. */
import type { Random } from './random.js';

export interface Sensor {
  /** First-order filter [s]; 0 is none. */
  readonly filter?: number;
  /** Time by which the value is late [s]. */
  readonly delay?: number;
  /** Mean over the sampling interval before the sample instead of the value at it. */
  readonly averaged?: boolean;
  readonly scale?: number;
  readonly offset?: number;
  /** Standard deviation of white noise a sample, in the unit of the trace after scale. */
  readonly noise?: number;
  /** Step of the value, in the unit of the trace after scale; 0 is none. */
  readonly quantum?: number;
}

/** First-order low-pass by exact discretisation for a held input. */
export function lowPass(trace: Float64Array, step: number, time: number): Float64Array {
  const out = new Float64Array(trace.length);
  const a = 1 - Math.exp(-step / time);
  let y = trace[0]!;
  for (let i = 0; i < trace.length; i++) out[i] = y += (trace[i]! - y) * a;
  return out;
}

/**
 * @param trace values at (i+1)·step
 * @param times sampling instants [s], increasing; before the trace begins its first value stands
 */
export function sample(
  trace: Float64Array,
  step: number,
  times: Float64Array,
  sensor: Sensor,
  random: Random,
): Float64Array {
  const filtered = sensor.filter ? lowPass(trace, step, sensor.filter) : trace;
  const delay = sensor.delay ?? 0;
  const scale = sensor.scale ?? 1;
  const offset = sensor.offset ?? 0;
  const noise = sensor.noise ?? 0;
  const quantum = sensor.quantum ?? 0;
  const last = trace.length - 1;
  const at = (t: number): number => {
    const x = (t - delay) / step - 1;
    if (!(x > 0)) return filtered[0]!;
    if (x >= last) return filtered[last]!;
    const i = Math.floor(x);
    return filtered[i]! + (x - i) * (filtered[i + 1]! - filtered[i]!);
  };
  const mean = (from: number, to: number): number => {
    const n = Math.max(1, Math.round((to - from) / step));
    let s = 0;
    for (let j = 0; j < n; j++) s += at(from + ((j + 0.5) * (to - from)) / n);
    return s / n;
  };
  const out = new Float64Array(times.length);
  for (let k = 0; k < times.length; k++) {
    const t = times[k]!;
    const before = k > 0 ? times[k - 1]! : t - (times[1]! - t);
    let v = (sensor.averaged ? mean(before, t) : at(t)) * scale + offset;
    if (noise > 0) v += noise * random.normal();
    out[k] = quantum > 0 ? Math.round(v / quantum) * quantum : v;
  }
  return out;
}
