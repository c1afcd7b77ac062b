import type { WinderType } from '../line/line.js';
import type { WoundOnCoefficients } from '../roll/woundOnTension.js';
import type { Length, Ratio, Speed, TensionPerWidth, Time } from '../units/quantity.js';
import type { Web } from '../web/web.js';
import type { HardStart, ScheduleLaw } from './schedule/types.js';

/** A knob over the build of a roll as a product states it; forces per width. */
export interface KnobProgram {
  readonly law: ScheduleLaw;
  readonly hardStart?: HardStart;
  /** Where it stands in the document, for messages: winder.tension */
  readonly pointer: string;
}

/** The setpoint of the tension beside its schedule over diameter: shares of the schedule's value. */
export interface SetpointProgram {
  /** Share that is held at standstill [1]. */
  readonly stall: Ratio;
  /** Web speed from which on the whole schedule holds [m/s]. */
  readonly fullFrom: Speed;
  /** Shares while the line speeds up and slows down [1]. */
  readonly accelerating: Ratio;
  readonly decelerating: Ratio;
  /** Share while a splice or a roll change passes, and time over which it is brought in and taken out [1, s]. */
  readonly splice?: { readonly share: Ratio; readonly ramp: Time };
  readonly transfer?: { readonly share: Ratio; readonly ramp: Time };
}

/** How a roll is wound, or unwound: schedules from core to full roll. */
export interface RollProgram {
  readonly coreRadius: Length;
  readonly fullRadius: Length;
  readonly tension: KnobProgram;
  readonly nip?: KnobProgram;
  readonly torqueDifferential?: KnobProgram;
  /** What was stated or measured of the wound-on tension; the rest starts from the web's friction. */
  readonly woundOn?: Partial<WoundOnCoefficients>;
  readonly setpoint: SetpointProgram;
  readonly pointer: string;
}

/** What a product allows; forces per width. */
export interface ProductLimits {
  readonly lowestTension?: TensionPerWidth;
  readonly highestTension?: TensionPerWidth;
  /** Share of the web's strength that tension may reach [1]. */
  readonly strengthShare: Ratio;
  readonly lowestNip?: TensionPerWidth;
  readonly highestNip?: TensionPerWidth;
  readonly highestWoundOn?: TensionPerWidth;
  /** Largest change of a schedule per diameter, as a share of its largest value [1/m]. */
  readonly steepest?: number;
}

/** A web with the programs that wind and unwind it. */
export interface Product {
  readonly name: string;
  readonly invented: boolean;
  readonly web: Web;
  readonly winder?: RollProgram;
  readonly unwind?: RollProgram;
  readonly limits: ProductLimits;
}

/** Share of the strength that tension may reach where the strength is stated and no share [1]: common practice, no source. */
export const usualStrengthShare = 0.25;

/** Winder types in which torque differential is a knob. */
export const hasDifferential = (type: WinderType): boolean =>
  type === 'centre-surface' || type === 'two-drum';
