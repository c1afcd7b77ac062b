import { isTautlineError, TautlineError } from '../../errors.js';
import {
  type KnobProgram,
  type Product,
  type RollProgram,
  type SetpointProgram,
  usualStrengthShare,
} from '../../program/product.js';
import { createSchedule } from '../../program/schedule/schedule.js';
import type { HardStart, ScheduleLaw } from '../../program/schedule/types.js';
import type { Coefficient, WoundOnCoefficients } from '../../roll/woundOnTension.js';
import type { Web } from '../../web/web.js';
import type {
  ProductDocument,
  RollProgramDocument,
  ScheduleDocument,
  WebDocument,
} from './productDocument.js';
import { toStackLaw } from './toStackLaw.js';

/**
 * The product as the engine computes with it: SI, radii, schedules that can be. The document has passed its schema.
 * @throws TautlineError document_value with the pointer to its place
 */
export function toProduct(document: ProductDocument): Product {
  const { limits } = document;
  return {
    name: document.name ?? 'product',
    invented: document.invented === true,
    web: toWeb(document.web, 'web'),
    ...(document.winder && { winder: toRollProgram(document.winder, 'winder') }),
    ...(document.unwind && { unwind: toRollProgram(document.unwind, 'unwind') }),
    limits: {
      lowestTension: limits?.lowest_tension_N_per_m,
      highestTension: limits?.highest_tension_N_per_m,
      strengthShare: limits?.strength_share ?? usualStrengthShare,
      lowestNip: limits?.lowest_nip_N_per_m,
      highestNip: limits?.highest_nip_N_per_m,
      highestWoundOn: limits?.highest_wound_on_N_per_m,
      steepest: limits?.steepest_per_m,
    },
  };
}

const problem = (pointer: string, message: string, next: string): TautlineError =>
  new TautlineError('document_value', { pointer }, message, next);

/** The material as the engine computes with it. @throws TautlineError document_value */
export function toWeb(document: WebDocument, pointer: string): Web {
  return {
    width: document.width_m,
    caliper: document.caliper_m,
    modulus: document.modulus_Pa,
    poisson: document.poisson,
    density: document.density_kgm3,
    friction: document.friction,
    frictionOnRoller: document.friction_on_roller,
    roughness: document.roughness_m,
    permeable: document.permeable,
    strength: document.strength_N_per_m,
    ...(document.stack && { stack: toStackLaw(document.stack, `${pointer}.stack`) }),
  };
}

function toRollProgram(document: RollProgramDocument, pointer: string): RollProgram {
  const { core_diameter_m: core, full_diameter_m: full } = document;
  if (!(full > core))
    throw problem(
      `${pointer}.${full < core ? 'core' : 'full'}_diameter_m`,
      `a full roll of ${full} m has no room for a core of ${core} m and web on it`,
      'correct core_diameter_m or full_diameter_m',
    );
  const knob = (key: 'tension' | 'nip' | 'torque_differential'): KnobProgram | undefined => {
    const stated = document[key];
    return stated && toKnob(stated, `${pointer}.${key}`, core, full, key === 'torque_differential');
  };
  const nip = knob('nip');
  const differential = knob('torque_differential');
  return {
    coreRadius: 0.5 * core,
    fullRadius: 0.5 * full,
    tension: knob('tension') as KnobProgram,
    ...(nip && { nip }),
    ...(differential && { torqueDifferential: differential }),
    ...(document.wound_on && { woundOn: toWoundOn(document.wound_on) }),
    setpoint: toSetpoint(document.setpoint, `${pointer}.setpoint`),
    pointer,
  };
}

/** A schedule as the engine computes with it, refused at its place when it can be none. @throws TautlineError document_value */
export function toKnob(
  document: ScheduleDocument,
  pointer: string,
  core: number,
  full: number,
  mayBeNegative: boolean,
): KnobProgram {
  const law = toLaw(document, pointer);
  const hardStart: HardStart | undefined = document.hard_start && {
    boost: document.hard_start.boost,
    depth: document.hard_start.depth_m,
  };
  try {
    // Made once here so that what no schedule can be is refused at its place in the document.
    createSchedule(law, { core, full }, { name: pointer, mayBeNegative, ...(hardStart && { hardStart }) });
  } catch (error) {
    if (!isTautlineError(error)) throw error;
    throw problem(pointer, `${pointer}: ${error.message}`, error.next);
  }
  return { law, ...(hardStart && { hardStart }), pointer };
}

const keysOfLaw: Readonly<Record<ScheduleDocument['law'], readonly (keyof ScheduleDocument)[]>> = {
  constant: ['start_N_per_m'],
  linear: ['start_N_per_m', 'end_N_per_m', 'taper'],
  hyperbolic: ['start_N_per_m', 'end_N_per_m', 'taper'],
  blend: ['start_N_per_m', 'end_N_per_m', 'taper', 'linear_share'],
  table: ['diameters_m', 'values_N_per_m'],
};

function toLaw(document: ScheduleDocument, pointer: string): ScheduleLaw {
  const allowed = ['law', 'hard_start', ...keysOfLaw[document.law]];
  for (const key of Object.keys(document))
    if (!allowed.includes(key))
      throw problem(
        `${pointer}.${key}`,
        `${pointer}: the law ${document.law} has no ${key}`,
        `state ${keysOfLaw[document.law].join(', ')}, or correct the law`,
      );
  const need = <T>(value: T | undefined, key: string): T => {
    if (value === undefined)
      throw problem(pointer, `${pointer}: the law ${document.law} needs ${key}`, `state ${key}`);
    return value;
  };
  switch (document.law) {
    case 'constant':
      return { law: 'constant', start: need(document.start_N_per_m, 'start_N_per_m') };
    case 'table': {
      const diameters = need(document.diameters_m, 'diameters_m');
      const values = need(document.values_N_per_m, 'values_N_per_m');
      if (diameters.length !== values.length)
        throw problem(
          `${pointer}.values_N_per_m`,
          `${pointer}: ${diameters.length} diameters have ${values.length} values`,
          'state one value a diameter',
        );
      return {
        law: 'table',
        points: diameters.map((diameter, k) => ({ diameter, value: values[k] as number })),
      };
    }
    default: {
      const start = need(document.start_N_per_m, 'start_N_per_m');
      const { taper, end_N_per_m: end } = document;
      if ((taper === undefined) === (end === undefined))
        throw problem(
          pointer,
          `${pointer}: the law ${document.law} has either a taper or an end`,
          'state taper or end_N_per_m, not both',
        );
      const fall = { start, ...(taper !== undefined && { taper }), ...(end !== undefined && { end }) };
      return document.law === 'blend'
        ? { law: 'blend', linearShare: need(document.linear_share, 'linear_share'), ...fall }
        : { law: document.law, ...fall };
    }
  }
}

function toWoundOn(stated: NonNullable<RollProgramDocument['wound_on']>): Partial<WoundOnCoefficients> {
  const coefficient = (value: number | undefined): Coefficient | undefined =>
    value === undefined
      ? undefined
      : { value, provenance: stated.measured === false ? 'default' : 'measured' };
  const nipCoefficient = coefficient(stated.nip_coefficient);
  const nipTensionMax = coefficient(stated.nip_tension_max_N_per_m);
  const lambda = coefficient(stated.lambda);
  return {
    ...(nipCoefficient && { nipCoefficient }),
    ...(nipTensionMax && { nipTensionMax }),
    ...(lambda && { lambda }),
  };
}

function toSetpoint(stated: RollProgramDocument['setpoint'], pointer: string): SetpointProgram {
  if (stated?.stall !== undefined && stated.stall !== 1 && stated.full_from_m_per_s === undefined)
    throw problem(
      pointer,
      `${pointer}: a stall share needs the speed from which on the whole schedule holds`,
      'state full_from_m_per_s',
    );
  return {
    stall: stated?.stall ?? 1,
    fullFrom: stated?.full_from_m_per_s ?? 0,
    accelerating: stated?.accelerating ?? 1,
    decelerating: stated?.decelerating ?? 1,
    ...(stated?.splice && { splice: { share: stated.splice.share, ramp: stated.splice.ramp_s } }),
    ...(stated?.transfer && { transfer: { share: stated.transfer.share, ramp: stated.transfer.ramp_s } }),
  };
}
