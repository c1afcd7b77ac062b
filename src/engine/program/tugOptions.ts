import type { TugOptions } from '../line/tug/tugBudget.js';
import type { TensionPerWidth } from '../units/quantity.js';
import type { Product, RollProgram } from './product.js';
import { rollSchedules } from './rollRows.js';
import { runningShares } from './setpoint.js';

/** Diameters at which the tension of a program is looked at. */
const diameters = 241;

/**
 * Lowest and highest tension that a roll program holds while the line runs, events among them [N/m]: the ends of its schedule times the smallest and
 * the largest running share. Standstill and the ramp up to full tension speed are left out. @throws TautlineError argument_invalid
 * Source: definition.
 */
export function programmedTension(program: RollProgram): { low: TensionPerWidth; high: TensionPerWidth } {
  const { tension } = rollSchedules(program, undefined);
  const [core, full] = [2 * program.coreRadius, 2 * program.fullRadius];
  const values = Array.from({ length: diameters }, (_, k) =>
    tension.at(core + ((full - core) * k) / (diameters - 1)),
  );
  const shares = runningShares(program.setpoint);
  return { low: Math.min(...values) * shares.smallest, high: Math.max(...values) * shares.largest };
}

/**
 * What a product says about the tug on its web [N/m]: the material, its window of tension and the tension of its winder's program.
 * @throws TautlineError argument_invalid. Source: definition.
 */
export const tugOptions = ({ web, limits, winder }: Product): Omit<TugOptions, 'criteria' | 'units'> => ({
  web,
  ...(limits.lowestTension !== undefined && { lowestTension: limits.lowestTension }),
  ...(limits.highestTension !== undefined && { highestTension: limits.highestTension }),
  ...(winder && { winderTension: programmedTension(winder) }),
});
