/** A stretch of rising pressure in a stack test: samples from `from` to `to`, both included. */
export interface Loading {
  readonly from: number;
  readonly to: number;
}

/** Share of the whole range of pressure that a turn must go back by to count as one, and that a loading must rise by. */
const turn = 0.2;
const fullRise = 0.5;
/** Share of the highest pressure by which readings at no load may lie below zero. */
const zeroNoise = 2e-4;

/**
 * Loadings of a stack test in the order of time: from each lowest to the next highest pressure [Pa], where the pressure rises by half of the whole range at least. Waits at
 * the lowest and the highest pressure are left out, since the stack creeps and recovers there at one pressure. Pressures must be finite.
 * Valid: noise well below a fifth of the range. Source: definition.
 */
export function findLoadings(pressure: Float64Array): Loading[] {
  const highest = pressure.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
  const lowest = pressure.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
  const range = highest - lowest;
  if (!(range > 0)) return [];
  const found: Loading[] = [];
  let valley = 0;
  let peak = 0;
  const take = (): void => {
    if ((pressure[peak] as number) - (pressure[valley] as number) >= fullRise * range)
      found.push(withoutWaits(pressure, valley, peak));
  };
  let rising = true;
  for (let i = 0; i < pressure.length; i++) {
    const p = pressure[i] as number;
    if (rising) {
      if (p > (pressure[peak] as number)) peak = i;
      else if (peak === valley && p <= (pressure[valley] as number)) valley = peak = i;
      else if ((pressure[peak] as number) - p > turn * range) {
        take();
        rising = false;
        valley = i;
      }
    } else if (p <= (pressure[valley] as number)) valley = i;
    else if (p - (pressure[valley] as number) > turn * range) {
      rising = true;
      peak = i;
    }
  }
  if (rising) take();
  return found;
}

/** From the last sample near the lowest pressure to the first near the highest. */
function withoutWaits(pressure: Float64Array, valley: number, peak: number): Loading {
  const low = 1.01 * (pressure[valley] as number);
  const high = 0.995 * (pressure[peak] as number);
  let from = valley;
  for (let i = valley; i < peak; i++) if ((pressure[i] as number) <= low) from = i;
  // A load cell's zero wanders by a little; more than that is an offset, which the evaluation refuses.
  const zero = -zeroNoise * (pressure[peak] as number);
  while (from < peak && (pressure[from] as number) < 0 && (pressure[from] as number) > zero) from++;
  let to = peak;
  for (let i = peak; i > from; i--) if ((pressure[i] as number) >= high) to = i;
  return { from, to };
}
