import { TautlineError } from '../../errors.js';
import type { PredictedAfter } from '../../program/roll/rollAfter.js';
import type { AfterWinding } from '../../roll/afterWinding/afterWinding.js';
import type { JsonSchema } from '../jsonSchema.js';
import { tidy } from '../plain.js';
import { number, numbers, object, positive } from '../properties.js';

/** What happens to a roll after winding, as a roll document states it. */
export interface AfterWindingDocument {
  readonly expansion?: {
    readonly along_per_K: number;
    readonly through_per_K: number;
    readonly core_per_K: number;
  };
  readonly swelling?: { readonly along: number; readonly through: number; readonly core: number };
  readonly creep?: { readonly shares: readonly number[]; readonly times_s: readonly number[] };
  readonly steps: readonly {
    readonly temperature_change_K?: number;
    readonly moisture_change?: number;
    readonly time_s?: number;
    readonly comes_to_rest?: boolean;
  }[];
}

export const afterWindingSchema: JsonSchema = object(
  'what happens to the roll after winding',
  {
    expansion: object(
      'thermal expansion per kelvin',
      {
        along_per_K: number(undefined, 'of the web along its length'),
        through_per_K: number(undefined, 'of the web through its thickness'),
        core_per_K: number(undefined, 'of the surface of the core'),
      },
      ['along_per_K', 'through_per_K', 'core_per_K'],
    ),
    swelling: object(
      'strain per unit of moisture change',
      {
        along: number(undefined, 'of the web along its length'),
        through: number(undefined, 'of the web through its thickness'),
        core: number(undefined, 'of the surface of the core'),
      },
      ['along', 'through', 'core'],
    ),
    creep: object(
      'creep of the web along its length, as a Prony series',
      {
        shares: numbers(
          undefined,
          'what each term adds to the strain in the end, as a share of the elastic strain',
          { type: 'number', minimum: 0 },
        ),
        times_s: numbers('time', 'time constant of each term', { type: 'number', exclusiveMinimum: 0 }),
      },
      ['shares', 'times_s'],
    ),
    steps: {
      type: 'array',
      minItems: 1,
      description: 'one after the other; what one step states happens together',
      items: object('a step', {
        temperature_change_K: number('temperatureDifference', 'change of temperature, of web and core alike'),
        moisture_change: number(undefined, 'change of the moisture of web and core, as a share of dry mass'),
        time_s: positive('time', 'for how long the web creeps'),
        comes_to_rest: {
          type: 'boolean',
          description: 'true when the roll, wound at speed, comes to rest: centrifugal force goes',
        },
      }),
    },
  },
  ['steps'],
);

/** The steps as the engine computes with them. @throws TautlineError document_value */
export function toAfterWinding({ expansion, swelling, creep, steps }: AfterWindingDocument): AfterWinding {
  const need = (k: number, key: string, stated: unknown, wanted: string, given: unknown): void => {
    if (stated !== undefined && given === undefined)
      throw new TautlineError(
        'document_value',
        { pointer: `after_winding.steps.${k}.${key}` },
        `a step with ${key} needs after_winding.${wanted}`,
        `state ${wanted}`,
      );
  };
  for (const [k, step] of steps.entries()) {
    need(k, 'temperature_change_K', step.temperature_change_K, 'expansion', expansion);
    need(k, 'moisture_change', step.moisture_change, 'swelling', swelling);
    need(k, 'time_s', step.time_s, 'creep', creep);
    if (Object.keys(step).length === 0)
      throw new TautlineError(
        'document_value',
        { pointer: `after_winding.steps.${k}` },
        'nothing happens in this step',
        'state temperature_change_K, moisture_change, time_s or comes_to_rest, or leave it out',
      );
  }
  if (creep !== undefined && creep.shares.length !== creep.times_s.length)
    throw new TautlineError(
      'document_value',
      { pointer: 'after_winding.creep' },
      `${creep.shares.length} shares have ${creep.times_s.length} time constants`,
      'state one time constant a share',
    );
  return {
    ...(expansion && {
      expansion: {
        along: expansion.along_per_K,
        through: expansion.through_per_K,
        core: expansion.core_per_K,
      },
    }),
    ...(swelling && { swelling }),
    ...(creep && { creep: { shares: creep.shares, times: creep.times_s } }),
    steps: steps.map((s) => ({
      ...(s.temperature_change_K !== undefined && { temperature: s.temperature_change_K }),
      ...(s.moisture_change !== undefined && { moisture: s.moisture_change }),
      ...(s.time_s !== undefined && { time: s.time_s }),
      ...(s.comes_to_rest === true && { comesToRest: true }),
    })),
  };
}

/** A roll after one of its steps, in a roll result. */
export interface AfterResult {
  readonly pressure_Pa: readonly number[];
  readonly hoopStress_Pa: readonly number[];
  readonly corePressure_Pa: number;
  readonly highestPressure_Pa: number;
  /** Innermost radius without pressure; later steps are then absent. */
  readonly loosensAt_m?: number;
  readonly slip: readonly { readonly case: string; readonly value: number; readonly radius_m: number }[];
}

/** A step's outcome as a document states it. */
export const toAfterResult = (after: PredictedAfter): AfterResult => ({
  pressure_Pa: Array.from(after.pressure, tidy),
  hoopStress_Pa: Array.from(after.hoopStress, tidy),
  corePressure_Pa: tidy(after.corePressure),
  highestPressure_Pa: tidy(after.highestPressure),
  ...(after.loosensAt !== undefined && { loosensAt_m: tidy(after.loosensAt) }),
  slip: after.slipCases
    .filter((c) => Number.isFinite(c.smallest.value))
    .map((c) => ({ case: c.name, value: tidy(c.smallest.value), radius_m: tidy(c.smallest.radius) })),
});
