import type { Cooling, PowerFlow } from './motor.js';

/** What the drive moves. The words are those of `element:` in a drive file. */
export const elements = [
  'unwind',
  'pull-roll',
  'driven-idler',
  'spreader',
  'rider',
  'dryer',
  'drum',
  'winder',
] as const;
export type Element = (typeof elements)[number];

/**
 * Nameplate and mechanics of one drive, SI. What an engineer did not type is undefined and never filled in.
 * Limits are fractions: torqueLimit 1.5 means 150 % of rated.
 */
export interface Drive {
  readonly name: string;
  readonly element: Element;
  /** Rated motor torque [N·m]; needed when the recording states torque in percent. */
  readonly ratedTorque?: number;
  /** Motor torque per ampere [N·m/A]; needed when the recording states torque as a current. */
  readonly torqueConstant?: number;
  /** Motor speed / roller speed [1], above 0. */
  readonly gearRatio: number;
  /** Radius of the roller's surface [m]; undefined for an unwind or winder. */
  readonly rollerRadius?: number;
  /** Core radius [m] of an unwind or winder. */
  readonly coreRadius?: number;
  readonly rollerWidth?: number;
  readonly maxMotorSpeed?: number;
  /** Motor speed up to which rated torque is there [rad/s]; above it the field is weakened. */
  readonly baseSpeed?: number;
  readonly motorInertia?: number;
  /** Share of the power that the gearbox passes on, above 0 and at most 1 [1]. */
  readonly gearEfficiency?: number;
  /** Of the gearbox, at the motor shaft [kg·m²]. */
  readonly gearInertia?: number;
  /** self-ventilated: the motor's own fan cools less at low speed. */
  readonly cooling?: Cooling;
  /** What the drive can do: a brake cannot drive, a drive without regeneration cannot brake. */
  readonly powerFlow?: PowerFlow;
  /** Torque limit as a fraction of rated [1]. */
  readonly torqueLimit?: number;
  readonly web?: { readonly width: number };
}
