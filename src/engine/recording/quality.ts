/**
 * What is wrong with single samples of a channel. Pure functions of one array; they mark, the caller decides.
 */

/** Median of a small odd neighbourhood without allocation beyond its own copy. */
function medianOf(values: number[]): number {
  values.sort((a, b) => a - b);
  return values[values.length >> 1];
}

/**
 * Indices of samples that jump away from both neighbours and back: isolated transmission or conversion errors.
 * A sample is a spike when it differs from the median of the twelve samples around it by more than `least` [unit of the
 * values] and by more than ten times their usual such difference, and its neighbours agree with each other and with the
 * rest. A step, a peak of several samples and noise are not spikes. Gaps are passed over.
 * Source: Hampel identifier (general method); the limits are ours.
 */
export function spikeIndices(values: Float64Array, least: number): number[] {
  const spikes: number[] = [];
  for (let i = 2; i + 2 < values.length; i++) {
    const before = values[i] - values[i - 1];
    const after = values[i] - values[i + 1];
    // Cheap test first: nearly every sample leaves here. A lone NaN compares false and leaves too.
    if (!(before * after > 0 && Math.abs(before) > least && Math.abs(after) > least)) continue;
    const around: number[] = [];
    for (let k = Math.max(0, i - 6); k <= Math.min(values.length - 1, i + 6); k++)
      if (k !== i && !Number.isNaN(values[k])) around.push(values[k]);
    if (around.length < 4) continue;
    const centre = medianOf(around.slice());
    const spread = medianOf(around.map((v) => Math.abs(v - centre)));
    const jump = Math.abs(values[i] - centre);
    const gap = Math.abs(values[i - 1] - values[i + 1]);
    // Neighbours that rose with it make a peak of several samples.
    const flank = Math.max(Math.abs(values[i - 1] - centre), Math.abs(values[i + 1] - centre));
    if (jump > least && jump > 10 * 1.4826 * spread && Math.max(gap, flank) < 0.5 * jump) spikes.push(i);
  }
  return spikes;
}

/**
 * Marks stretches where a channel sits at a limit: at least `run` samples in a row within `band` of ±limit [unit of the
 * values]. Returns 1 where at the limit.
 */
export function atLimit(values: Float64Array, limit: number, band: number, run: number): Uint8Array {
  const mask = new Uint8Array(values.length);
  let start = -1;
  for (let i = 0; i <= values.length; i++) {
    const inside = i < values.length && Math.abs(values[i]) >= limit - band;
    if (inside && start < 0) start = i;
    if (!inside && start >= 0) {
      if (i - start >= run) mask.fill(1, start, i);
      start = -1;
    }
  }
  return mask;
}

/**
 * The flat top of a clipped channel: the largest magnitude that the channel holds for at least `run` samples in a row to
 * within `band`, if it is its extreme; undefined when the extreme is a passing peak.
 */
export function flatTop(values: Float64Array, band: number, run: number): number | undefined {
  let extreme = 0;
  for (const v of values) if (Math.abs(v) > extreme) extreme = Math.abs(v);
  const mask = atLimit(values, extreme, band, run);
  return extreme > 0 && mask.includes(1) ? extreme : undefined;
}

/** Largest magnitude among all but the fraction `leaveOut` of the samples; gaps are passed over. 0 when empty. */
export function spanOf(values: Float64Array, leaveOut = 0.002): number {
  const stride = Math.max(1, Math.floor(values.length / 20_021));
  const magnitudes = new Float64Array(Math.ceil(values.length / stride));
  let n = 0;
  for (let i = 0; i < values.length; i += stride) {
    const v = Math.abs(values[i]);
    if (!Number.isNaN(v)) magnitudes[n++] = v;
  }
  if (n === 0) return 0;
  const sorted = magnitudes.subarray(0, n).sort();
  return sorted[Math.max(0, Math.ceil((1 - leaveOut) * n) - 1)];
}
