import type { JsonSchema } from '../jsonSchema.js';
import { notNegative, number, numbers, object, positive, words } from '../properties.js';

export const scheduleLaws = ['constant', 'linear', 'hyperbolic', 'blend', 'table'] as const;

/** A schedule over diameter as a product states it; forces per width. */
export interface ScheduleDocument {
  readonly law: (typeof scheduleLaws)[number];
  readonly start_N_per_m?: number;
  readonly end_N_per_m?: number;
  readonly taper?: number;
  readonly linear_share?: number;
  readonly diameters_m?: readonly number[];
  readonly values_N_per_m?: readonly number[];
  readonly hard_start?: { readonly boost: number; readonly depth_m: number };
}

export interface RollProgramDocument {
  readonly core_diameter_m: number;
  readonly full_diameter_m: number;
  readonly tension: ScheduleDocument;
  readonly nip?: ScheduleDocument;
  readonly torque_differential?: ScheduleDocument;
  readonly wound_on?: {
    readonly nip_coefficient?: number;
    readonly nip_tension_max_N_per_m?: number;
    readonly lambda?: number;
    readonly measured?: boolean;
  };
  readonly setpoint?: {
    readonly stall?: number;
    readonly full_from_m_per_s?: number;
    readonly accelerating?: number;
    readonly decelerating?: number;
    readonly splice?: { readonly share: number; readonly ramp_s: number };
    readonly transfer?: { readonly share: number; readonly ramp_s: number };
  };
}

export interface WebDocument {
  readonly width_m: number;
  readonly caliper_m: number;
  readonly modulus_Pa?: number;
  readonly poisson?: number;
  readonly density_kgm3?: number;
  readonly friction?: number;
  readonly friction_on_roller?: number;
  readonly roughness_m?: number;
  readonly permeable?: boolean;
  readonly strength_N_per_m?: number;
  readonly stack?: {
    readonly law: 'exponential' | 'constant' | 'polynomial' | 'saturating';
    readonly K1_Pa?: number;
    readonly K2?: number;
    readonly modulus_Pa?: number;
    readonly coefficients?: readonly number[];
    readonly modulus_at_rest_Pa?: number;
    readonly highest_modulus_Pa?: number;
    readonly saturation_pressure_Pa?: number;
    readonly tested_to_Pa?: number;
  };
}

/** `tautline/product@1`: a web and the programs that wind and unwind it. */
export interface ProductDocument {
  readonly schema: 'tautline/product@1';
  readonly name?: string;
  readonly invented?: boolean;
  readonly notes?: string;
  readonly web: WebDocument;
  readonly winder?: RollProgramDocument;
  readonly unwind?: RollProgramDocument;
  readonly limits?: {
    readonly lowest_tension_N_per_m?: number;
    readonly highest_tension_N_per_m?: number;
    readonly strength_share?: number;
    readonly lowest_nip_N_per_m?: number;
    readonly highest_nip_N_per_m?: number;
    readonly highest_wound_on_N_per_m?: number;
    readonly steepest_per_m?: number;
  };
}

const share = (description: string): JsonSchema => ({ ...positive(undefined, description), maximum: 5 });
const event = (description: string): JsonSchema =>
  object(
    description,
    {
      share: share('share of the schedule that is held meanwhile'),
      ramp_s: positive('time', 'time over which it is brought in and taken out'),
    },
    ['share', 'ramp_s'],
  );

/** A schedule over diameter, the same keys in every document. */
export const scheduleSchema = (description: string): JsonSchema =>
  object(
    description,
    {
      law: { enum: scheduleLaws, description: 'how it runs from core to full roll' },
      start_N_per_m: number('tensionPerWidth', 'value of the law at the core'),
      end_N_per_m: number('tensionPerWidth', 'value of the law at the full roll, instead of taper'),
      taper: number(
        undefined,
        'linear: share by which the full roll is below the core; hyperbolic: 1 means constant torque',
      ),
      linear_share: {
        ...notNegative(undefined, 'blend: share of the linear law, the rest is hyperbolic'),
        maximum: 1,
      },
      diameters_m: numbers('length', 'table: diameters, rising'),
      values_N_per_m: numbers('tensionPerWidth', 'table: values at these diameters'),
      hard_start: object(
        'more, or less, at the core',
        {
          boost: number(undefined, 'share on top of the law at the core; 0.1 is 10 %'),
          depth_m: positive('length', 'diameter over which it fades'),
        },
        ['boost', 'depth_m'],
      ),
    },
    ['law'],
  );

const rollProgram = (description: string): JsonSchema =>
  object(
    description,
    {
      core_diameter_m: positive('length', 'outer diameter of the core'),
      full_diameter_m: positive('length', 'diameter of the full roll'),
      tension: scheduleSchema('web tension per width'),
      nip: scheduleSchema('nip force per width; at a two-drum winder that of the rider roller'),
      torque_differential: scheduleSchema(
        'force per width through the roll’s own motor less that through the drum, or front less rear drum',
      ),
      wound_on: object('wound-on tension as measured on this winder with this web', {
        nip_coefficient: notNegative(undefined, 'nip-induced tension over nip force'),
        nip_tension_max_N_per_m: notNegative(
          'tensionPerWidth',
          'nip-induced tension that heavier nips do not exceed',
        ),
        lambda: {
          ...notNegative(undefined, 'two-drum: 1 when the lap is locked to the roll under the front nip'),
          maximum: 1,
        },
        measured: {
          type: 'boolean',
          description: 'false for values that are taken over; true when left out',
        },
      }),
      setpoint: object(
        'what is made of the schedule at standstill, while the speed changes and at roll changes',
        {
          stall: share('share of the schedule that is held at standstill'),
          full_from_m_per_s: positive('speed', 'web speed from which on the whole schedule holds'),
          accelerating: share('share while the line speeds up'),
          decelerating: share('share while it slows down'),
          splice: event('while a splice passes'),
          transfer: event('while the web is transferred to a new core'),
        },
      ),
    },
    ['core_diameter_m', 'full_diameter_m', 'tension'],
  );

/** The material, the same keys in every document that states one. */
export const webSchema: JsonSchema = object(
  'the web',
  {
    width_m: positive('length', 'width'),
    caliper_m: positive('caliper', 'thickness of one lap'),
    modulus_Pa: positive('modulus', 'modulus along the web'),
    poisson: {
      ...number(undefined, 'Poisson cross term of radial and hoop direction'),
      minimum: -1,
      maximum: 1,
    },
    density_kgm3: positive('density', 'density; basis weight over caliper'),
    friction: positive(undefined, 'kinetic friction of web on web'),
    friction_on_roller: positive(undefined, 'friction of web on rollers'),
    roughness_m: positive('caliper', 'root mean square roughness of the surface'),
    permeable: {
      type: 'boolean',
      description: 'true for a web that lets air through, such as uncoated paper',
    },
    strength_N_per_m: positive('tensionPerWidth', 'force per width at which the web yields or breaks'),
    stack: object(
      'how a stack of the web carries pressure',
      {
        law: { enum: ['exponential', 'constant', 'polynomial', 'saturating'] },
        K1_Pa: positive('pressure', 'exponential: K1'),
        K2: positive(undefined, 'exponential: K2'),
        modulus_Pa: positive('modulus', 'constant: modulus of the stack'),
        coefficients: {
          type: 'array',
          minItems: 1,
          items: { type: 'number' },
          description: 'polynomial: c0, c1, …; modulus in Pa over pressure in Pa',
        },
        modulus_at_rest_Pa: positive('modulus', 'saturating: modulus without pressure'),
        highest_modulus_Pa: positive('modulus', 'saturating: modulus that high pressures come near'),
        saturation_pressure_Pa: positive(
          'pressure',
          'saturating: pressure at which 63 % of the rise are reached',
        ),
        tested_to_Pa: positive(
          'pressure',
          'highest pressure of the stack test; beyond it the law is a guess',
        ),
      },
      ['law'],
    ),
  },
  ['width_m', 'caliper_m'],
);

export const productSchema: JsonSchema = {
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'Tautline product, version 1',
  ...object(
    'a web and the programs that wind and unwind it',
    {
      schema: { const: 'tautline/product@1', description: 'version of this document' },
      name: words('what the plant calls the product'),
      invented: { type: 'boolean', description: 'true for made-up demonstration data' },
      notes: { type: 'string', description: 'free text' },
      web: webSchema,
      winder: rollProgram('how the roll is wound'),
      unwind: rollProgram(
        'how the roll is unwound; its schedules run over the same diameters, from core to full roll',
      ),
      limits: object('what the product allows', {
        lowest_tension_N_per_m: notNegative('tensionPerWidth', 'below it the web does not track'),
        highest_tension_N_per_m: positive('tensionPerWidth', 'above it the product is harmed'),
        strength_share: {
          ...positive(undefined, 'share of the web’s strength that tension may reach'),
          maximum: 1,
        },
        lowest_nip_N_per_m: notNegative('tensionPerWidth', 'smallest nip force'),
        highest_nip_N_per_m: positive('tensionPerWidth', 'largest nip force'),
        highest_wound_on_N_per_m: positive('tensionPerWidth', 'largest wound-on tension'),
        steepest_per_m: positive(
          undefined,
          'largest change of a schedule per metre of diameter, as a share of its largest value',
        ),
      }),
    },
    ['schema', 'web'],
  ),
};
