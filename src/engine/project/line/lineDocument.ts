import { type SectionKind, sectionKinds, type WinderType, winderTypes } from '../../line/line.js';
import { type ShellMaterial, shellDensities } from '../../line/shell.js';
import { type DriveDocument, driveSchema } from '../drive.js';
import type { JsonSchema } from '../jsonSchema.js';
import { notNegative, numbers, object, positive, words } from '../properties.js';

export const turnWords = ['clockwise', 'counter-clockwise'] as const;
export type TurnWord = (typeof turnWords)[number];

/** A drive in line.yaml: path of its file from the line folder, or its nameplate in place. */
export type DriveReference = string | Omit<DriveDocument, 'schema' | 'name' | 'element'>;

/** What any roller of the line can state; SI with the unit in the key. */
export interface RollerDocument {
  readonly centre_m?: readonly [number, number];
  readonly diameter_m?: number;
  readonly turns?: TurnWord;
  readonly face_width_m?: number;
  /** Name of a section whose roller this one is built like: its mechanics count where this one states none. */
  readonly like?: string;
  /** Of the roller alone, at the roller. */
  readonly inertia_kgm2?: number;
  readonly shell?: ShellDocument;
  readonly bearings?: BearingsDocument;
  readonly drag?: {
    readonly coulomb_Nm?: number;
    readonly viscous_Nms?: number;
    readonly quadratic_Nms2?: number;
  };
  readonly breakaway_Nm?: number;
  readonly friction?: number;
  readonly roughness_m?: number;
  readonly grooved?: boolean;
  readonly drive?: DriveReference;
  /** Path of the identification that holds for this drive, from the line folder; the latest one of the drive when left out. */
  readonly identification?: string;
}

export interface ShellDocument {
  readonly inner_diameter_m?: number;
  readonly wall_m?: number;
  readonly length_m?: number;
  readonly material?: ShellMaterial;
  readonly density_kgm3?: number;
  readonly ends_mass_kg?: number;
}

export interface BearingsDocument {
  readonly count?: number;
  readonly bore_m: number;
  readonly outer_diameter_m: number;
  readonly kinematic_viscosity_m2_per_s: number;
  readonly static_rating_N?: number;
  readonly sealed?: boolean;
}

/** A section of the line. The kind decides which keys beyond a roller's own make sense. */
export interface SectionDocument extends RollerDocument {
  readonly name: string;
  readonly kind: SectionKind;
  readonly notes?: string;
  /** Held in the web behind this section. */
  readonly tension_N_per_m?: number;
  /** Further rollers of a pull roll (S-wrap), in web order after this one. */
  readonly rollers?: readonly RollerDocument[];
  readonly nip_force_N_per_m?: number;
  readonly nip_friction?: number;
  readonly force_N?: number;
  readonly strands?: number;
  readonly pitch_m?: number;
  readonly carriage_height_m?: number;
  readonly carriage_mass_kg?: number;
  readonly core_diameter_m?: number;
  readonly full_diameter_m?: number;
  readonly core_inertia_kgm2?: number;
  readonly type?: WinderType;
  readonly drum?: string | RollerDocument;
  readonly rear_drum?: string | RollerDocument;
  readonly front_drum?: string | RollerDocument;
  readonly gives?: 'roller' | 'roll';
}

/** `tautline/line@1`: the machine, sections in web order. */
export interface LineDocument {
  readonly schema: 'tautline/line@1';
  readonly name: string;
  /** True for made-up demonstration data: every report says so at its top. */
  readonly invented?: boolean;
  readonly web_width_m?: number;
  readonly speed?: {
    readonly top_m_per_s: number;
    readonly acceleration_m_per_s2?: number;
    readonly stop_m_per_s2?: number;
    readonly emergency_stop_s?: number;
    readonly standstill_s?: number;
  };
  readonly notes?: string;
  readonly sections: readonly SectionDocument[];
}

const { schema: _version, name: _name, element: _element, ...nameplate } = driveSchema.properties ?? {};

const rollerProperties: Readonly<Record<string, JsonSchema>> = {
  centre_m: {
    ...numbers('length', 'centre of the roller seen from the operator side: [x to the right, y up]'),
    minItems: 2,
    maxItems: 2,
  },
  diameter_m: positive('length', 'diameter of the roller; of a roll, as it is drawn'),
  turns: { enum: turnWords, description: 'sense in which the roller rotates as the web runs' },
  face_width_m: positive('length', 'face width of the roller'),
  like: words('name of a section whose roller this one is built like'),
  inertia_kgm2: positive('inertia', 'inertia of the roller alone, at the roller, without motor and gearbox'),
  shell: object('dimensions of the shell, from which the inertia is computed', {
    inner_diameter_m: notNegative('length', 'inner diameter; 0 for a solid roller'),
    wall_m: positive('length', 'wall thickness, instead of the inner diameter'),
    length_m: positive('length', 'length of the shell; the face width when left out'),
    material: {
      enum: Object.keys(shellDensities),
      description: 'what the shell is made of; or state density_kgm3',
    },
    density_kgm3: positive('density', 'density of the shell'),
    ends_mass_kg: positive('mass', 'mass of both end plates together, taken as discs inside the shell'),
  }),
  bearings: object(
    'bearings, from which drag is estimated as a band',
    {
      count: { type: 'integer', minimum: 1, description: 'bearings of the roller; 2 when left out' },
      bore_m: positive('length', 'bore of the bearing'),
      outer_diameter_m: positive('length', 'outer diameter of the bearing'),
      kinematic_viscosity_m2_per_s: positive(
        undefined,
        'kinematic viscosity of the lubricant at running temperature; 1e-4 is 100 mm²/s',
      ),
      static_rating_N: positive('tension', 'static load rating of one bearing'),
      sealed: { type: 'boolean', description: 'true with rubbing seals' },
    },
    ['bore_m', 'outer_diameter_m', 'kinematic_viscosity_m2_per_s'],
  ),
  drag: object('drag torque of the roller, where it is known otherwise than from a recording', {
    coulomb_Nm: notNegative('torque', 'part that does not depend on speed'),
    viscous_Nms: notNegative('viscousDrag', 'part per speed'),
    quadratic_Nms2: notNegative('quadraticDrag', 'part per square of the speed'),
  }),
  breakaway_Nm: positive('torque', 'torque at which the roller starts to turn'),
  friction: positive(undefined, 'friction of web on this roller; the product’s value when left out'),
  roughness_m: positive('caliper', 'root mean square roughness of the roller’s surface'),
  grooved: { type: 'boolean', description: 'true when grooves or vents lead the air film away' },
  drive: {
    description: 'path of the drive file from the line folder, or the nameplate in place',
    anyOf: [{ type: 'string', minLength: 1 }, object('nameplate', nameplate)],
  },
  identification: words(
    'path of the identification that holds, from the line folder; the latest one when left out',
  ),
};

const drumSchema = (description: string): JsonSchema => ({
  description,
  anyOf: [{ type: 'string', minLength: 1 }, object('a roller', rollerProperties)],
});

const sectionProperties: Readonly<Record<string, JsonSchema>> = {
  name: words('what the plant calls the section; unique in the line'),
  kind: { enum: sectionKinds, description: 'what the section is' },
  notes: { type: 'string', description: 'free text' },
  ...rollerProperties,
  tension_N_per_m: positive('tensionPerWidth', 'tension that is held in the web behind this section'),
  rollers: {
    type: 'array',
    minItems: 1,
    items: object('a roller', rollerProperties),
    description: 'pull-roll: further rollers of an S-wrap, in web order',
  },
  nip_force_N_per_m: positive('tensionPerWidth', 'pull-roll: force of the nip roller per width'),
  nip_friction: positive(undefined, 'pull-roll: friction of web on roller in the nip'),
  force_N: positive('tension', 'dancer: force that loads the dancer roller against the web'),
  strands: {
    type: 'integer',
    minimum: 2,
    description: 'accumulator: web strands between fixed rollers and carriage',
  },
  pitch_m: positive('length', 'accumulator: distance between neighbouring rollers of a row'),
  carriage_height_m: positive('length', 'accumulator: carriage above the fixed rollers, centre to centre'),
  carriage_mass_kg: positive('mass', 'accumulator: mass of the carriage with its rollers'),
  core_diameter_m: positive('length', 'unwind, winder: outer diameter of the core'),
  full_diameter_m: positive('length', 'unwind, winder: diameter of the full roll'),
  core_inertia_kgm2: notNegative('inertia', 'unwind, winder: inertia of core and shaft'),
  type: { enum: winderTypes, description: 'winder: where the torque enters' },
  drum: drumSchema(
    'winder, surface or centre-surface: the roller that drives the surface, or the name of its section',
  ),
  rear_drum: drumSchema('winder, two-drum: the drum over which the web comes, or the name of its section'),
  front_drum: drumSchema('winder, two-drum: the other drum'),
  gives: {
    enum: ['roller', 'roll'],
    description: 'winder: which of drum and roll gives way when the roll grows',
  },
};

export const lineSchema: JsonSchema = {
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'Tautline line, version 1',
  ...object(
    'a web line',
    {
      schema: { const: 'tautline/line@1', description: 'version of this document' },
      name: words('what the plant calls the line'),
      invented: { type: 'boolean', description: 'true for made-up demonstration data' },
      web_width_m: positive('length', 'width of the web; a product may state another'),
      speed: object(
        'speeds and rates that the line is to run at',
        {
          top_m_per_s: positive('speed', 'highest speed of the web'),
          acceleration_m_per_s2: positive('acceleration', 'acceleration of the web'),
          stop_m_per_s2: positive('acceleration', 'deceleration of a normal stop, as a magnitude'),
          emergency_stop_s: positive('time', 'time of an emergency stop from top speed'),
          standstill_s: notNegative('time', 'time at rest between two rolls'),
        },
        ['top_m_per_s'],
      ),
      notes: { type: 'string', description: 'free text' },
      sections: {
        type: 'array',
        minItems: 1,
        maxItems: 2000,
        description: 'sections in web order',
        items: object('a section', sectionProperties, ['name', 'kind']),
      },
    },
    ['schema', 'name', 'sections'],
  ),
};

/** Keys that only some kinds have; every other key of a section belongs to all of them. */
export const kindKeys: Readonly<Record<string, readonly SectionKind[]>> = {
  rollers: ['pull-roll'],
  nip_force_N_per_m: ['pull-roll'],
  nip_friction: ['pull-roll'],
  force_N: ['dancer'],
  strands: ['accumulator'],
  pitch_m: ['accumulator'],
  carriage_height_m: ['accumulator'],
  carriage_mass_kg: ['accumulator'],
  core_diameter_m: ['unwind', 'winder'],
  full_diameter_m: ['unwind', 'winder'],
  core_inertia_kgm2: ['unwind', 'winder'],
  type: ['winder'],
  drum: ['winder'],
  rear_drum: ['winder'],
  front_drum: ['winder'],
  gives: ['winder'],
};
