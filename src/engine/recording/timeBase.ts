import type { Finding } from '../findings.js';

/** Rows to keep, with the time of each; where a gap is to be marked the row index is -1 and every channel is NaN there. */
export interface TimeBase {
  readonly time: Float64Array;
  readonly rows: Int32Array;
}

/** A step of more than this many median steps is a gap. */
const gapSteps = 1.5;
/** Share of rows that repeat a time from which the stamps may be coarser than the sampling. */
const coarseShare = 0.2;
/** Spread of the steps, as a share of the median, from which sampling counts as irregular. */
const irregularShare = 0.05;

/**
 * Makes a strictly increasing time base [s] of a time column. Refuses time that runs backwards; drops and counts rows
 * without time and repeated ones; spreads coarse time stamps evenly; marks gaps, so that nothing is computed across them.
 * @param passOver 1 for each row that is to be left out without a word.
 */
export function buildTimeBase(
  raw: Float64Array,
  findings: Finding[],
  passOver?: Uint8Array,
): TimeBase | undefined {
  let missing = 0;
  let passed = 0;
  for (let i = 0; i < raw.length; i++) {
    if (passOver?.[i] === 1) passed++;
    else if (Number.isNaN(raw[i])) missing++;
  }
  const kept = new Int32Array(raw.length - missing - passed);
  for (let i = 0, k = 0; i < raw.length; i++) if (passOver?.[i] !== 1 && !Number.isNaN(raw[i])) kept[k++] = i;
  if (missing > 0)
    findings.push({
      code: 'rows_skipped',
      severity: 'warn',
      message: `${missing} rows without a time were left out`,
      where: { rows: missing },
      next: 'look at the export around these rows if there are many',
    });
  for (let k = 1; k < kept.length; k++) {
    if (raw[kept[k]] < raw[kept[k - 1]]) {
      findings.push({
        code: 'time_backwards',
        severity: 'refuse',
        message: `time runs backwards at data row ${kept[k] + 1}: ${raw[kept[k - 1]]} s is followed by ${raw[kept[k]]} s`,
        where: { row: kept[k] + 1, previous_s: raw[kept[k - 1]], current_s: raw[kept[k]] },
        next: 'split the file at this row and import the parts one by one, or export it again in order of time',
      });
      return undefined;
    }
  }
  return markGaps(withoutRepeats(raw, kept, findings), findings);
}

function taken(values: Float64Array, rows: Int32Array): Float64Array {
  const out = new Float64Array(rows.length);
  for (let k = 0; k < out.length; k++) out[k] = values[rows[k]];
  return out;
}

function withoutRepeats(raw: Float64Array, kept: Int32Array, findings: Finding[]): TimeBase {
  let repeats = 0;
  for (let k = 1; k < kept.length; k++) if (raw[kept[k]] === raw[kept[k - 1]]) repeats++;
  if (repeats === 0) return { time: taken(raw, kept), rows: kept };
  const first = kept.findIndex((_, k) => k > 0 && raw[kept[k]] === raw[kept[k - 1]]);
  const where = { rows: repeats, first_row: kept[first] + 1 };
  const even = repeats >= coarseShare * kept.length ? spreadEvenly(taken(raw, kept)) : undefined;
  if (even !== undefined) {
    findings.push({
      code: 'duplicate_timestamps',
      severity: 'warn',
      message: `${repeats} rows repeat the time of the row before: the time stamps are coarser than the sampling; rows of one stamp were spread evenly`,
      where,
      next: 'export with finer time stamps, or state --sample-interval SECONDS',
    });
    return { time: even, rows: kept };
  }
  const unique = kept.filter((i, k) => k === 0 || raw[i] !== raw[kept[k - 1]]);
  findings.push({
    code: 'duplicate_timestamps',
    severity: 'warn',
    message: `${repeats} rows repeat the time of the row before; they were left out`,
    where,
    next: 'look at the export around these rows if there are many; state --sample-interval SECONDS if they are samples',
  });
  return { time: taken(raw, unique), rows: unique };
}

/**
 * Evenly sampled rows whose time stamps were cut to a coarser step (one second, say): in every stretch without a missing stamp the rows
 * lie on a straight line through the first rows of the stamps, whether each stamp has as many rows or not. The first and the last stamp
 * of a stretch may be incomplete and do not decide. @returns undefined when the rows do not fit such lines to within one stamp.
 */
function spreadEvenly(stamps: Float64Array): Float64Array | undefined {
  const starts: number[] = [];
  for (let k = 0; k < stamps.length; k++) if (k === 0 || stamps[k] !== stamps[k - 1]) starts.push(k);
  if (starts.length < 3) return undefined;
  const steps = starts.slice(1).map((k, j) => stamps[k] - stamps[starts[j]]);
  const stamp = steps.slice().sort((a, b) => a - b)[steps.length >> 1];
  const sizes = starts.slice(1).map((k, j) => k - starts[j]);
  const usual = sizes.slice().sort((a, b) => a - b)[sizes.length >> 1];
  const time = new Float64Array(stamps.length);
  for (let from = 0; from < starts.length; ) {
    let to = from + 1;
    while (to < starts.length && steps[to - 1] <= gapSteps * stamp) to++;
    const end = to < starts.length ? starts[to] : stamps.length;
    if (!lineThrough(stamps, time, starts.slice(from, to), end, stamp, stamp / usual)) return undefined;
    from = to;
  }
  for (let k = 1; k < time.length; k++) if (!(time[k] > time[k - 1])) return undefined;
  return time;
}

/** Fills the times of one stretch, whose stamps begin at the rows `starts`. @returns whether the stamps fit to within one stamp. */
function lineThrough(
  stamps: Float64Array,
  time: Float64Array,
  starts: readonly number[],
  end: number,
  stamp: number,
  usualStep: number,
): boolean {
  // the first stamp may have begun before the recording: its first row says nothing
  const anchors = starts.length > 2 ? starts.slice(1) : starts;
  const n = anchors.length;
  const row0 = anchors[0];
  const t0 = stamps[row0];
  let sk = 0;
  let st = 0;
  let skk = 0;
  let skt = 0;
  for (const a of anchors) {
    const k = a - row0;
    const t = stamps[a] - t0;
    sk += k;
    st += t;
    skk += k * k;
    skt += k * t;
  }
  const spread = n * skk - sk * sk;
  const step = spread > 0 ? (n * skt - sk * st) / spread : usualStep;
  const start = (st - step * sk) / n;
  for (let k = starts[0]; k < end; k++) {
    time[k] = t0 + start + (k - row0) * step;
    if (Math.abs(time[k] - (stamps[k] + 0.5 * stamp)) > 1.5 * stamp) return false;
  }
  return true;
}

function markGaps(base: TimeBase, findings: Finding[]): TimeBase {
  const { time, rows } = base;
  if (time.length < 2) return base;
  const steps = new Float64Array(time.length - 1);
  let least = Number.POSITIVE_INFINITY;
  let most = 0;
  for (let k = 0; k < steps.length; k++) {
    const step = time[k + 1] - time[k];
    steps[k] = step;
    if (step < least) least = step;
    if (step > most) most = step;
  }
  // the usual case, without the cost of sorting: neither irregular nor with a gap, whatever the median is
  if (most - least <= irregularShare * least) return base;
  const sorted = steps.slice().sort();
  const median = sorted[sorted.length >> 1];
  const spread =
    sorted[Math.floor(0.9 * (sorted.length - 1))] - sorted[Math.floor(0.1 * (sorted.length - 1))];
  const irregular = spread > irregularShare * median;
  if (irregular)
    findings.push({
      code: 'irregular_sampling',
      severity: 'warn',
      message: `samples are not evenly spaced: ${(1000 * median).toPrecision(3)} ms between them in the median, 80 % of the steps within ${(1000 * spread).toPrecision(2)} ms`,
      where: { median_s: median, spread80_s: spread },
      next: 'nothing to do: the real times are used; record in the drive rather than over a network if the spread is large',
    });
  // With jitter a step of 1.5 intervals is nothing out of the ordinary; a gap then begins at 4.
  const limit = (irregular ? 4 : gapSteps) * median;
  let gaps = 0;
  let longest = 0;
  let firstGap = -1;
  for (let k = 0; k < steps.length; k++) {
    if (steps[k] <= limit) continue;
    if (gaps++ === 0) firstGap = k;
    longest = Math.max(longest, steps[k]);
  }
  if (gaps === 0) return base;
  const newTime = new Float64Array(time.length + gaps);
  const newRows = new Int32Array(time.length + gaps);
  let out = 0;
  for (let k = 0; k < time.length; k++) {
    newTime[out] = time[k];
    newRows[out++] = rows[k];
    if (k < steps.length && steps[k] > limit) {
      newTime[out] = 0.5 * (time[k] + time[k + 1]);
      newRows[out++] = -1;
    }
  }
  findings.push({
    code: 'missing_samples',
    severity: 'warn',
    message: `${gaps} gaps in time, the longest ${longest.toPrecision(3)} s where ${median.toPrecision(3)} s is usual; nothing was computed across them`,
    where: { gaps, longest_s: longest, first_s: time[firstGap] },
    next: 'record in the drive rather than over a network if gaps are many',
  });
  return { time: newTime, rows: newRows };
}
