import type { Units } from '../../state/units.js';

/** How torques at the motor are shown: as torque, or as a share of rated. */
export interface TorqueUnit {
  readonly key: 'torque' | 'torqueFraction';
  readonly label: string;
  /** Where it is said elsewhere what it is a share of. */
  readonly short: string;
  /** Torque [N·m] as a number in this unit. */
  value(torque: number): number;
  number(torque: number): string;
  withUnit(torque: number): string;
  /** A torque and the half width of its interval [N·m]. */
  pair(torque: number, halfWidth: number | undefined): ReturnType<Units['pair']>;
}

/** Without a rated torque there is no share of it. */
export function torqueUnit(units: Units, ratedTorque: number | undefined, isPercent: boolean): TorqueUnit {
  const key = isPercent && ratedTorque !== undefined ? 'torqueFraction' : 'torque';
  const scale = key === 'torque' ? 1 : 1 / (ratedTorque as number);
  const label = key === 'torque' ? units.unit(key).label : `${units.unit(key).label} of rated`;
  return {
    key,
    label,
    short: units.unit(key).label,
    value: (torque) => units.value(key, torque * scale),
    number: (torque) => units.number(key, torque * scale),
    withUnit: (torque) => `${units.number(key, torque * scale)} ${label}`,
    pair: (torque, halfWidth) => ({
      ...units.pair(key, torque * scale, halfWidth === undefined ? undefined : halfWidth * scale),
      ...(key === 'torqueFraction' && { unit: label }),
    }),
  };
}
