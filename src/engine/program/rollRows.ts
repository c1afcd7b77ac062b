import type { Winder, WinderType } from '../line/line.js';
import { lengthBetween, rollMass } from '../roll/buildUp.js';
import { twoDrumAngle, twoDrumNip } from '../roll/drumNip.js';
import {
  checkCoefficients,
  defaultCoefficients,
  twoDrumBounds,
  twoDrumWoundOnTension,
  type WoundOnBounds,
  type WoundOnCoefficients,
  woundOnTension,
} from '../roll/woundOnTension.js';
import type { Length, TensionPerWidth, WebLength } from '../units/quantity.js';
import type { Web } from '../web/web.js';
import { hasDifferential, type RollProgram } from './product.js';
import { createSchedule } from './schedule/schedule.js';
import type { Schedule } from './schedule/types.js';
import { share1, share2 } from './torqueDifferential.js';

/** Standard gravity [m/s²], 3rd CGPM 1901. */
const gravity = 9.80665;

/** What a program asks for at one diameter; forces per width. Undefined where something it needs is not known. */
export interface RollRow {
  readonly diameter: Length;
  /** Web on the roll. */
  readonly length: WebLength;
  readonly tension: TensionPerWidth;
  readonly nip?: TensionPerWidth;
  readonly torqueDifferential?: TensionPerWidth;
  /** Through the roll's own motor, or the front drum. */
  readonly share1?: TensionPerWidth;
  /** Through the drum, or the rear drum. */
  readonly share2?: TensionPerWidth;
  readonly woundOnTension?: TensionPerWidth;
  /** Range of the wound-on tension while the two-drum coefficient λ is not measured. */
  readonly woundOnBounds?: WoundOnBounds;
  /** Two-drum: force of each drum's nip, from weight, rider and front drum's pull. */
  readonly drumNip?: TensionPerWidth;
}

/** The schedules of a program, made for its build. */
export interface RollSchedules {
  readonly tension: Schedule;
  readonly nip?: Schedule;
  readonly torqueDifferential?: Schedule;
}

/** The schedules of a roll program over its diameters [m], in N/m. @throws TautlineError argument_invalid. Source: see createSchedule. */
export function rollSchedules(program: RollProgram, slopeLimit: number | undefined): RollSchedules {
  const build = { core: 2 * program.coreRadius, full: 2 * program.fullRadius };
  const make = (knob: 'tension' | 'nip' | 'torqueDifferential', name: string): Schedule | undefined => {
    const stated = program[knob];
    return (
      stated &&
      createSchedule(stated.law, build, {
        name,
        mayBeNegative: knob === 'torqueDifferential',
        ...(stated.hardStart && { hardStart: stated.hardStart }),
        ...(slopeLimit !== undefined && { slopeLimit }),
      })
    );
  };
  const nip = make('nip', 'nip');
  const torqueDifferential = make('torqueDifferential', 'torque differential');
  return {
    tension: make('tension', 'tension') as Schedule,
    ...(nip && { nip }),
    ...(torqueDifferential && { torqueDifferential }),
  };
}

/** Coefficients of the wound-on tension: those that were stated, the rest from the web's friction; undefined without either [1, N/m]. Source: see defaultCoefficients. */
export function coefficientsOf(program: RollProgram, web: Web): WoundOnCoefficients | undefined {
  const stated = program.woundOn;
  if (web.friction === undefined && stated?.nipCoefficient === undefined) return undefined;
  return checkCoefficients({ ...defaultCoefficients(web.friction ?? 0), ...stated });
}

/** A pair of drums under a roll. */
interface Drums {
  readonly distance: Length;
  readonly radius: Length;
}

/** The two drums of a winder, when both have a place and one radius within 1 %. */
export function drumsOf(winder: Winder): Drums | undefined {
  const { drum, frontDrum } = winder;
  const [a, b] = [drum?.centre, frontDrum?.centre];
  const [r1, r2] = [drum?.radius, frontDrum?.radius];
  if (a === undefined || b === undefined || r1 === undefined || r2 === undefined) return undefined;
  if (Math.abs(r1 - r2) > 0.01 * r1) return undefined;
  return { distance: Math.hypot(a.x - b.x, a.y - b.y), radius: 0.5 * (r1 + r2) };
}

/** What the row of a roll depends on beside its diameter; made once. */
export interface RowMaker {
  /** Undefined for an unwind. */
  readonly type?: WinderType;
  readonly schedules: RollSchedules;
  readonly program: RollProgram;
  readonly web: Web;
  readonly coefficients?: WoundOnCoefficients;
  readonly drums?: Drums;
}

/**
 * What a program asks for at a diameter [m]: schedules, shares of the two motors and the wound-on tension that results [N/m], web on the roll [m].
 * Centre winders put all tension through the roll's own motor, surface winders all through the drum.
 * Source: schedules.md, torque-differential.md, wound-on-tension.md in docs/models.
 */
export function rollRow(maker: RowMaker, diameter: Length): RollRow {
  const { type, schedules, program, web } = maker;
  const tension = schedules.tension.at(diameter);
  const base = {
    diameter,
    length: lengthBetween(program.coreRadius, 0.5 * diameter, web.caliper),
    tension,
  };
  if (type === undefined) return base;
  const nip = schedules.nip?.at(diameter);
  const differential = differentialAt(type, tension, schedules.torqueDifferential, diameter);
  const withNip = { ...base, ...(nip !== undefined && { nip }) };
  if (differential === undefined) return withNip;
  const first = share1(tension, differential);
  return {
    ...withNip,
    torqueDifferential: differential,
    share1: first,
    share2: share2(tension, differential),
    ...(type === 'two-drum'
      ? twoDrumWoundOn(maker, diameter, first, nip ?? 0)
      : oneNipWoundOn(maker.coefficients, first, nip)),
  };
}

function differentialAt(
  type: WinderType,
  tension: TensionPerWidth,
  schedule: Schedule | undefined,
  diameter: Length,
): TensionPerWidth | undefined {
  if (type === 'centre') return tension;
  if (type === 'surface') return -tension;
  return hasDifferential(type) ? schedule?.at(diameter) : undefined;
}

function oneNipWoundOn(
  coefficients: WoundOnCoefficients | undefined,
  coreForce: TensionPerWidth,
  nip: TensionPerWidth | undefined,
): Pick<RollRow, 'woundOnTension'> {
  if (nip === undefined || nip === 0) return { woundOnTension: coreForce };
  return coefficients === undefined ? {} : { woundOnTension: woundOnTension(coefficients, coreForce, nip) };
}

function twoDrumWoundOn(
  { coefficients, drums, web, program }: RowMaker,
  diameter: Length,
  frontForce: TensionPerWidth,
  rider: TensionPerWidth,
): Pick<RollRow, 'woundOnTension' | 'woundOnBounds' | 'drumNip'> {
  let nip: number | undefined;
  if (drums === undefined || web.density === undefined) nip = rider > 0 ? rider : undefined;
  else {
    const weight =
      (rollMass(web.density, web.width, 0.5 * diameter, program.coreRadius) * gravity) / web.width;
    const angle = twoDrumAngle(drums.distance, 0.5 * diameter, drums.radius);
    nip = Math.max(0, twoDrumNip(weight, rider, angle, frontForce));
  }
  if (coefficients === undefined || nip === undefined) return nip === undefined ? {} : { drumNip: nip };
  const hasRider = drums !== undefined && web.density !== undefined;
  const nips = { rear: nip, front: nip, rider: hasRider ? rider : 0 };
  return {
    drumNip: nip,
    woundOnTension: twoDrumWoundOnTension(coefficients, frontForce, nips),
    ...(coefficients.lambda.provenance === 'default' && {
      woundOnBounds: twoDrumBounds(coefficients, frontForce, nips),
    }),
  };
}
