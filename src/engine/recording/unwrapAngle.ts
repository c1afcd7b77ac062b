const turn = 2 * Math.PI;
/** Steps above this share of a turn may as well be steps the other way round. */
const clearStep = 0.4;
/** Share of such steps from which they are no spikes. */
const unclearShare = 0.001;

/** A position that starts again every turn, carried on; `unclear` when the shaft turns too far between samples to tell which way. */
export type Unwrapped = { readonly angle: Float64Array; readonly turns: number } | 'unclear';

/**
 * Carries on an angle [rad] that a single-turn encoder starts again at 0 or at half a turn, so that its differences are motion. Valid
 * where the shaft turns less than half a turn between samples (the shorter way is then the right one); no sampling faster than that
 * means `unclear`. A missing sample stays missing. @returns undefined for a position that does not start again.
 */
export function unwrapAngle(angle: Float64Array): Unwrapped | undefined {
  let least = Number.POSITIVE_INFINITY;
  let most = Number.NEGATIVE_INFINITY;
  let jumps = 0;
  for (let i = 0; i < angle.length; i++) {
    if (angle[i] < least) least = angle[i];
    if (angle[i] > most) most = angle[i];
    if (i > 0 && Math.abs(angle[i] - angle[i - 1]) > turn / 2) jumps++;
  }
  const slack = 1e-3 * turn;
  const withinTurn =
    (least >= -slack && most <= turn + slack) || (least >= -turn / 2 - slack && most <= turn / 2 + slack);
  if (!withinTurn || jumps === 0) return undefined;
  const out = new Float64Array(angle.length);
  let turns = 0;
  let unclear = 0;
  let steps = 0;
  let last = Number.NaN;
  for (let i = 0; i < angle.length; i++) {
    if (!Number.isNaN(angle[i])) {
      const step = angle[i] - last;
      if (!Number.isNaN(step)) turns -= Math.round(step / turn);
      if (i > 0 && !Number.isNaN(angle[i - 1])) {
        steps++;
        if (Math.abs(step - turn * Math.round(step / turn)) > clearStep * turn) unclear++;
      }
      last = angle[i];
    }
    out[i] = angle[i] + turn * turns;
  }
  return unclear > unclearShare * steps ? 'unclear' : { angle: out, turns };
}
