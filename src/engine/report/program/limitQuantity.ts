import type { ProgramLimit } from '../../program/limits.js';
import type { QuantityKey } from '../../units/quantity.js';

const quantities: Readonly<Record<ProgramLimit['unit'], QuantityKey | undefined>> = {
  N_per_m: 'tensionPerWidth',
  Nm: 'torque',
  rad_per_s: 'angularSpeed',
  per_m: undefined,
};

/** The quantity that a limit of a program is stated in; undefined for slopes, which are shares per diameter. */
export const limitQuantity = ({ unit }: ProgramLimit): QuantityKey | undefined => quantities[unit];
