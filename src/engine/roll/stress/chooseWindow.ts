import type { Ratio } from '../../units/quantity.js';
import type { FineWindow, WindingInput, WoundRoll } from './windingInput.js';
import { windRoll } from './windRoll.js';

/** Cells up to which every lap is followed: below a tenth of a second on a present computer, so a window would save nothing that counts. */
const fewCells = 5e6;
/** With a constant modulus each cell costs a tenth: nothing of it changes from lap to lap. */
const fewCellsConstant = 5e7;
/** Interfaces that are kept of a long roll, so that the thinning grows with it. */
const keptAtMost = 1250;

/**
 * The window that a roll is best wound with, nothing where following every lap is cheap: the newest 64 laps and every 8th of the older ones, both
 * more for rolls above 10,000 laps. Measured against every lap followed: below 3·10⁻⁴ of the largest pressure for film, newsprint and foil of 8,000 laps.
 */
export function chooseWindow({ laps, stack }: Pick<WindingInput, 'laps' | 'stack'>): FineWindow | undefined {
  const limit = stack.linear?.slope === 0 ? fewCellsConstant : fewCells;
  return 0.5 * laps * laps <= limit ? undefined : alwaysWindow(laps);
}

/** Laps from which on a window pays for those who wind many rolls. */
const fewLaps = 800;

/** {@link chooseWindow} for those who wind many rolls: earlier, since each of them costs [1]. Source: as there. */
export const windowForMany = (laps: number): FineWindow | undefined =>
  laps < fewLaps ? undefined : alwaysWindow(laps);

/** A window however few the laps [1]. Source: as {@link chooseWindow}. */
export function alwaysWindow(laps: number): FineWindow {
  const thinning = Math.max(8, Math.ceil(laps / keptAtMost));
  return { fine: Math.max(64, 3 * thinning), thinning };
}

/**
 * How far a roll that was wound with a window is off, as a share of its largest pressure [1]; 0 without a window. It is wound once more with twice
 * the thinning, and half of the difference is taken: the error is of second order in the thinning, so a third is what is left, and a half is on the safe side.
 * Source: Richardson; the order is tested.
 */
export function windowError(input: WindingInput, wound: WoundRoll): Ratio {
  if (input.window === undefined) return 0;
  const { fine, thinning } = input.window;
  const coarse = windRoll({ ...input, window: { fine, thinning: 2 * thinning } });
  return largestDifference(wound.pressure, coarse.pressure) / 2;
}

/** Largest difference of two pressure profiles as a share of the largest pressure of the first [1]. Source: definition. */
export function largestDifference(pressure: Float64Array, other: Float64Array): Ratio {
  let [largest, worst] = [0, 0];
  pressure.forEach((p, i) => {
    largest = Math.max(largest, p);
    worst = Math.max(worst, Math.abs(p - other[i]));
  });
  return largest > 0 ? worst / largest : 0;
}
