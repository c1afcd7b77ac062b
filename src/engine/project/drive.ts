import { type Drive, type Element, elements } from '../line/drive.js';
import type { Cooling, PowerFlow } from '../line/motor.js';
import type { JsonSchema } from './jsonSchema.js';
import { positive } from './properties.js';

/** A drive as an engineer types it: nameplate and mechanics, SI with the unit in the key. `tautline/drive@1`. */
export interface DriveDocument {
  readonly schema: 'tautline/drive@1';
  readonly name: string;
  readonly element: Element;
  readonly rated_torque_Nm?: number;
  readonly torque_constant_Nm_per_A?: number;
  readonly gear_ratio?: number;
  readonly roller_diameter_m?: number;
  readonly core_diameter_m?: number;
  readonly roller_width_m?: number;
  readonly max_motor_speed_rad_per_s?: number;
  readonly base_speed_rad_per_s?: number;
  readonly motor_inertia_kgm2?: number;
  readonly gear_efficiency?: number;
  readonly gear_inertia_kgm2?: number;
  readonly cooling?: Cooling;
  readonly power_flow?: PowerFlow;
  readonly torque_limit_percent?: number;
  readonly web?: { readonly width_m: number };
  readonly notes?: string;
}

export const driveSchema: JsonSchema = {
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'Tautline drive, version 1',
  type: 'object',
  required: ['schema', 'name', 'element'],
  additionalProperties: false,
  properties: {
    schema: { const: 'tautline/drive@1', description: 'version of this document' },
    name: { type: 'string', minLength: 1, description: 'what the plant calls the drive' },
    element: { enum: elements, description: 'what the drive moves' },
    rated_torque_Nm: positive(
      'torque',
      'rated motor torque; needed when the recording states torque in percent',
    ),
    torque_constant_Nm_per_A: positive(
      'torqueConstant',
      'motor torque per ampere; needed when the recording states torque as a current',
    ),
    gear_ratio: positive(undefined, 'motor speed / roller speed; 1 when left out'),
    roller_diameter_m: positive(
      'length',
      'diameter of the roller; an unwind or winder has core_diameter_m instead',
    ),
    core_diameter_m: positive('length', 'outer diameter of the core of an unwind or winder'),
    roller_width_m: positive('length', 'face width of the roller'),
    max_motor_speed_rad_per_s: positive('angularSpeed', 'highest motor speed in use'),
    motor_inertia_kgm2: positive('inertia', 'rotor inertia from the data sheet'),
    base_speed_rad_per_s: positive(
      'angularSpeed',
      'motor speed up to which rated torque is there; field weakening above it',
    ),
    gear_efficiency: {
      type: 'number',
      exclusiveMinimum: 0,
      maximum: 1,
      description: 'share of the power that the gearbox passes on; 1 when left out',
    },
    gear_inertia_kgm2: positive('inertia', 'inertia of the gearbox at the motor shaft'),
    cooling: {
      enum: ['forced', 'self-ventilated'] satisfies Cooling[],
      description: 'self-ventilated: the motor’s own fan cools less at low speed',
    },
    power_flow: {
      enum: ['both', 'driving', 'braking'] satisfies PowerFlow[],
      description: 'what the drive can do; both when left out. A brake is "braking"',
    },
    torque_limit_percent: positive('ratio', 'torque limit in percent of rated'),
    web: {
      type: 'object',
      required: ['width_m'],
      additionalProperties: false,
      properties: { width_m: positive('length', 'width of the web') },
      description: 'for recordings with the web on',
    },
    notes: { type: 'string', description: 'free text' },
  },
};

const half = (diameter: number | undefined): number | undefined =>
  diameter === undefined ? undefined : 0.5 * diameter;

/** The drive as the engine computes with it: radii, fractions, nothing filled in but a gear ratio of 1. */
export function toDrive(document: DriveDocument): Drive {
  return {
    name: document.name,
    element: document.element,
    ratedTorque: document.rated_torque_Nm,
    torqueConstant: document.torque_constant_Nm_per_A,
    gearRatio: document.gear_ratio ?? 1,
    rollerRadius: half(document.roller_diameter_m),
    coreRadius: half(document.core_diameter_m),
    rollerWidth: document.roller_width_m,
    maxMotorSpeed: document.max_motor_speed_rad_per_s,
    baseSpeed: document.base_speed_rad_per_s,
    motorInertia: document.motor_inertia_kgm2,
    gearEfficiency: document.gear_efficiency,
    gearInertia: document.gear_inertia_kgm2,
    cooling: document.cooling,
    powerFlow: document.power_flow,
    torqueLimit:
      document.torque_limit_percent === undefined ? undefined : 0.01 * document.torque_limit_percent,
    web: document.web && { width: document.web.width_m },
  };
}
