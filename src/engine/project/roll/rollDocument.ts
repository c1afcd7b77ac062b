import { TautlineError } from '../../errors.js';
import { type WinderType, winderTypes } from '../../line/line.js';
import type { DesignTarget } from '../../program/roll/design/designTarget.js';
import type { RollInput } from '../../program/roll/rollInput.js';
import { coreStiffness } from '../../roll/stress/coreStiffness.js';
import type { StackLaw } from '../../web/web.js';
import type { JsonSchema } from '../jsonSchema.js';
import {
  type ScheduleDocument,
  scheduleSchema,
  type WebDocument,
  webSchema,
} from '../product/productDocument.js';
import { toKnob, toWeb } from '../product/toProduct.js';
import { notNegative, number, object, positive } from '../properties.js';
import { type AfterWindingDocument, afterWindingSchema, toAfterWinding } from './afterWindingDocument.js';
import { type JLineDocument, jLineSchema, toJLine } from './jLineDocument.js';
import { toRollUncertainty, type UncertaintyDocument, uncertaintySchema } from './uncertaintyDocument.js';
import { toUnwinding, type UnwindDocument, unwindSchema } from './unwindDocument.js';

/** `tautline/roll@1`: a web, a core and how it is wound. */
export interface RollDocument {
  readonly schema: 'tautline/roll@1';
  readonly name?: string;
  readonly invented?: boolean;
  readonly notes?: string;
  readonly web: WebDocument;
  readonly core: {
    readonly outer_diameter_m: number;
    readonly stiffness_Pa?: number;
    readonly bore_diameter_m?: number;
    readonly modulus_Pa?: number;
    readonly poisson?: number;
  };
  readonly wind: {
    readonly laps?: number;
    readonly finished_diameter_m?: number;
    readonly tension: ScheduleDocument;
    readonly torque_differential?: ScheduleDocument;
    readonly nip_N_per_m?: number;
    readonly nip?: ScheduleDocument;
    readonly method: WinderType;
    readonly nip_coefficient?: number;
    readonly nip_tension_max_N_per_m?: number;
    readonly lambda?: number;
    readonly air?: { readonly film_share?: number };
  };
  readonly speed_m_per_s?: number;
  readonly stop?: { readonly deceleration_m_per_s2: number; readonly braked_at?: 'core' | 'surface' };
  readonly acceleration_m_per_s2?: number;
  readonly unwind?: UnwindDocument;
  readonly j_line?: JLineDocument;
  readonly after_winding?: AfterWindingDocument;
  readonly limits?: RollLimitsDocument;
  readonly uncertainty?: UncertaintyDocument;
  readonly design?: {
    readonly target: (typeof designTargets)[number];
    readonly wanted?: number;
    readonly floor_Pa?: number;
  };
}

export const designTargets = ['slip-margin', 'flat-pressure', 'hoop-stress'] as const;

/** What product, core, drive and web bear; tension, nip and differential between these when a schedule is designed. */
export interface RollLimitsDocument {
  readonly highest_pressure_Pa?: number;
  readonly highest_core_pressure_Pa?: number;
  readonly lowest_outer_pressure_Pa?: number;
  readonly lowest_tension_N_per_m?: number;
  readonly highest_tension_N_per_m?: number;
  readonly lowest_nip_N_per_m?: number;
  readonly highest_nip_N_per_m?: number;
  readonly lowest_differential_share?: number;
  readonly highest_differential_share?: number;
  readonly slope_per_m?: number;
}

/** A roll of more laps than this takes minutes. */
const mostLaps = 200_000;

export const rollSchema: JsonSchema = {
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'Tautline roll, version 1',
  ...object(
    'a web, a core and how it is wound',
    {
      schema: { const: 'tautline/roll@1', description: 'version of this document' },
      name: { type: 'string', minLength: 1, description: 'what the plant calls it' },
      invented: { type: 'boolean', description: 'true for made-up demonstration data' },
      notes: { type: 'string', description: 'free text' },
      web: { ...webSchema, required: ['width_m', 'caliper_m', 'modulus_Pa', 'stack'] },
      core: object(
        'the core: its stiffness as measured, or a tube from which it is computed (not for paper cores)',
        {
          outer_diameter_m: positive('length', 'outer diameter'),
          stiffness_Pa: positive('modulus', 'pressure from outside over radial strain of the surface'),
          bore_diameter_m: notNegative('length', 'tube: inner diameter; 0 for a solid core'),
          modulus_Pa: positive('modulus', 'tube: modulus of the wall'),
          poisson: number(undefined, 'tube: Poisson number of the wall'),
        },
        ['outer_diameter_m'],
      ),
      wind: object(
        'how it is wound',
        {
          laps: { type: 'integer', minimum: 1, maximum: mostLaps, description: 'number of laps' },
          finished_diameter_m: positive('length', 'diameter of the finished roll, instead of laps'),
          tension: scheduleSchema('web tension per width'),
          torque_differential: scheduleSchema(
            'force through the roll’s own motor less that through the drum, or front less rear drum',
          ),
          nip_N_per_m: notNegative('tensionPerWidth', 'nip force per width, the same throughout'),
          nip: scheduleSchema('nip force per width over the roll, instead of one value'),
          method: { enum: winderTypes, description: 'where the torque enters' },
          nip_coefficient: notNegative(
            undefined,
            'measured: nip-induced tension over nip force; the web’s friction when left out',
          ),
          nip_tension_max_N_per_m: notNegative(
            'tensionPerWidth',
            'measured: nip-induced tension that heavier nips do not exceed',
          ),
          lambda: {
            ...notNegative(undefined, 'two-drum, measured: 1 when the lap is locked under the front nip'),
            maximum: 1,
          },
          air: object(
            'air that laps take along at web speed; left out where not stated. For webs that let no air through',
            {
              film_share: {
                ...notNegative(
                  undefined,
                  'measured: share of the film that stays, below 1 under a nip; 1 when left out',
                ),
                maximum: 1,
              },
            },
          ),
        },
        ['tension', 'method'],
      ),
      speed_m_per_s: notNegative('speed', 'web speed, for the centrifugal force and the air taken along'),
      stop: object(
        'a stop of the full roll',
        {
          deceleration_m_per_s2: positive('acceleration', 'deceleration of the web, as a magnitude'),
          braked_at: {
            enum: ['core', 'surface'],
            description:
              'where the brake acts; when left out the core, or the surface for surface and two-drum winders',
          },
        },
        ['deceleration_m_per_s2'],
      ),
      acceleration_m_per_s2: positive('acceleration', 'acceleration of the web in a start while it is wound'),
      unwind: unwindSchema,
      j_line: jLineSchema,
      after_winding: afterWindingSchema,
      limits: object('what product and core bear', {
        highest_pressure_Pa: positive('pressure', 'pressure from which on laps block'),
        highest_core_pressure_Pa: positive('pressure', 'pressure that the core bears'),
        lowest_outer_pressure_Pa: positive(
          'pressure',
          'pressure near the outside, at 95 % of the build, that handling needs',
        ),
        lowest_tension_N_per_m: notNegative('tensionPerWidth', 'for a designed schedule: lowest tension'),
        highest_tension_N_per_m: positive('tensionPerWidth', 'for a designed schedule: highest tension'),
        lowest_nip_N_per_m: notNegative('tensionPerWidth', 'for a designed schedule: lowest nip force'),
        highest_nip_N_per_m: positive('tensionPerWidth', 'for a designed schedule: highest nip force'),
        lowest_differential_share: {
          ...number(undefined, 'for a designed schedule: lowest torque differential over tension'),
          minimum: -1,
          maximum: 1,
        },
        highest_differential_share: {
          ...number(undefined, 'for a designed schedule: highest torque differential over tension'),
          minimum: -1,
          maximum: 1,
        },
        slope_per_m: positive(
          undefined,
          'for a designed schedule: steepest change per diameter, as a share of the largest value',
        ),
      }),
      uncertainty: uncertaintySchema,
      design: object(
        'what the schedule is to be designed for, within the limits',
        {
          target: { enum: designTargets, description: 'what counts' },
          wanted: positive(
            undefined,
            'when it is reached: smallest slip margin, or half spread of the pressure over its mean',
          ),
          floor_Pa: number('pressure', 'when it is reached: smallest hoop stress'),
        },
        ['target'],
      ),
    },
    ['schema', 'web', 'core', 'wind'],
  ),
};

const problem = (pointer: string, message: string, next: string): TautlineError =>
  new TautlineError('document_value', { pointer }, message, next);

/** The roll as the engine computes with it. @throws TautlineError document_value with the pointer to its place */
export function toRollInput(document: RollDocument): RollInput {
  const web = toWeb(document.web, 'web');
  const { wind, stop } = document;
  const outerRadius = 0.5 * document.core.outer_diameter_m;
  const laps = lapsOf(document, outerRadius, web.caliper);
  const full = 2 * (outerRadius + laps * web.caliper);
  const knob = (key: 'tension' | 'torque_differential' | 'nip'): RollInput['tension'] | undefined => {
    const stated = wind[key];
    if (stated === undefined) return undefined;
    if (stated.hard_start !== undefined)
      throw problem(
        `wind.${key}.hard_start`,
        'a roll document has no hard start',
        'state the schedule as a table',
      );
    return toKnob(stated, `wind.${key}`, 2 * outerRadius, full, key === 'torque_differential').law;
  };
  const differential = knob('torque_differential');
  const nipSchedule = knob('nip');
  if (nipSchedule !== undefined && wind.nip_N_per_m !== undefined)
    throw problem('wind.nip', 'the nip is stated twice', 'state nip or nip_N_per_m');
  const measured = (value: number | undefined): { value: number; provenance: 'measured' } | undefined =>
    value === undefined ? undefined : { value, provenance: 'measured' };
  const [nipCoefficient, nipTensionMax, lambda] = [
    measured(wind.nip_coefficient),
    measured(wind.nip_tension_max_N_per_m),
    measured(wind.lambda),
  ];
  return {
    web: { ...web, modulus: document.web.modulus_Pa as number, stack: web.stack as StackLaw },
    core: { outerRadius, stiffness: stiffnessOf(document) },
    laps,
    tension: knob('tension') as RollInput['tension'],
    ...(differential && { torqueDifferential: differential }),
    nip: wind.nip_N_per_m ?? 0,
    ...(nipSchedule && { nipSchedule }),
    method: wind.method,
    woundOn: {
      ...(nipCoefficient && { nipCoefficient }),
      ...(nipTensionMax && { nipTensionMax }),
      ...(lambda && { lambda }),
    },
    speed: document.speed_m_per_s,
    ...(wind.air && {
      air: wind.air.film_share === undefined ? {} : { filmShare: wind.air.film_share },
    }),
    ...(document.after_winding && { afterWinding: toAfterWinding(document.after_winding) }),
    ...(stop && {
      stop: {
        deceleration: stop.deceleration_m_per_s2,
        // There is no torque at the core of a roll that lies on drums or is driven by its surface.
        brakedAt:
          stop.braked_at ?? (wind.method === 'surface' || wind.method === 'two-drum' ? 'surface' : 'core'),
      },
    }),
    ...(document.acceleration_m_per_s2 !== undefined && { acceleration: document.acceleration_m_per_s2 }),
    ...(document.unwind && { unwinding: toUnwinding(document.unwind) }),
    ...(document.j_line && { jLine: toJLine(document.j_line, 2 * outerRadius, full, web.width) }),
    highestPressure: document.limits?.highest_pressure_Pa,
    highestCorePressure: document.limits?.highest_core_pressure_Pa,
    lowestOuterPressure: document.limits?.lowest_outer_pressure_Pa,
    ...(document.uncertainty && {
      uncertainty: toRollUncertainty(document.uncertainty, web.stack as StackLaw),
    }),
  };
}

function lapsOf({ wind }: RollDocument, coreRadius: number, caliper: number): number {
  const { laps, finished_diameter_m: finished } = wind;
  if ((laps === undefined) === (finished === undefined))
    throw problem(
      'wind',
      'a roll has either a number of laps or a finished diameter',
      'state laps or finished_diameter_m',
    );
  if (laps !== undefined) return laps;
  const found = Math.round((0.5 * (finished as number) - coreRadius) / caliper);
  if (found < 1)
    throw problem(
      'wind.finished_diameter_m',
      `a finished diameter of ${finished} m leaves no room for a lap on a core of ${2 * coreRadius} m`,
      'correct the diameters or the caliper',
    );
  if (found > mostLaps)
    throw problem(
      'wind.finished_diameter_m',
      `a finished diameter of ${finished} m takes ${found} laps of ${caliper} m; at most ${mostLaps} are wound here`,
      'check the caliper, which is that of one lap',
    );
  return found;
}

function stiffnessOf({ core }: RollDocument): number {
  const { outer_diameter_m: outer, stiffness_Pa: stated, bore_diameter_m: bore, modulus_Pa: modulus } = core;
  if (stated !== undefined && (bore !== undefined || modulus !== undefined))
    throw problem(
      'core',
      'a core has either a measured stiffness or a tube',
      'state stiffness_Pa, or bore_diameter_m and modulus_Pa',
    );
  if (stated !== undefined) return stated;
  if (bore === undefined || modulus === undefined)
    throw problem(
      'core',
      'the stiffness of the core is not stated',
      'state stiffness_Pa as measured (always so for paper cores), or bore_diameter_m and modulus_Pa of a tube',
    );
  if (bore >= outer)
    throw problem(
      'core.bore_diameter_m',
      `a bore of ${bore} m does not fit into a core of ${outer} m`,
      'correct the diameters',
    );
  return coreStiffness(modulus, core.poisson ?? 0.3, 0.5 * bore, 0.5 * outer);
}

/** What the document asks a schedule to be designed for; undefined when it asks for nothing. */
export function toDesignTarget({ design }: Pick<RollDocument, 'design'>): DesignTarget | undefined {
  if (design === undefined) return undefined;
  if (design.target === 'slip-margin') return { kind: 'slip margin', wanted: design.wanted ?? 1.5 };
  if (design.target === 'flat-pressure') return { kind: 'flat pressure', wanted: design.wanted ?? 0.05 };
  return { kind: 'hoop stress', floor: design.floor_Pa ?? 0 };
}
