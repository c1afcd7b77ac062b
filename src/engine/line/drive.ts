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
  readonly motorInertia?: number;
  /** Torque limit as a fraction of rated [1]. */
  readonly torqueLimit?: number;
  readonly web?: { readonly width: number };
}
