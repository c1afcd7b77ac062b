import type { Length } from '../../../units/quantity.js';
import type { ScheduleLaw } from '../../schedule/types.js';
import { rollBuild } from '../rollBuild.js';
import type { RollInput } from '../rollInput.js';
import type { DesignLimits } from './designTarget.js';

/** Values of a knob at the knots: a stretch of the parameters. */
export interface Knob {
  readonly key: 'tension' | 'torque differential' | 'nip';
  readonly from: number;
}

/** The knobs of a design: all parameters of the search, with their bounds. */
export interface Knobs {
  readonly diameters: readonly Length[];
  readonly list: readonly Knob[];
  readonly start: Float64Array;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

/** The knobs that limits let be changed, starting where the roll stands [m, N/m]. Source: definition. */
export function knobsOf(input: RollInput, limits: DesignLimits, count: number): Knobs {
  const { build, tension, torqueDifferential, nip } = rollBuild(input);
  const diameters = Array.from(
    { length: count },
    (_, k) => build.core + ((build.full - build.core) * k) / (count - 1),
  );
  const list: Knob[] = [];
  const start: number[] = [];
  const lower: number[] = [];
  const upper: number[] = [];
  const add = (
    key: Knob['key'],
    [low, high]: readonly [number, number],
    now: (d: Length) => number,
  ): void => {
    list.push({ key, from: start.length });
    for (const d of diameters) {
      start.push(Math.min(high, Math.max(low, now(d))));
      lower.push(low);
      upper.push(high);
    }
  };
  add('tension', limits.tension, (d) => tension.at(d));
  if (torqueDifferential !== undefined && limits.differentialShare !== undefined)
    add('torque differential', limits.differentialShare, (d) =>
      tension.at(d) > 0 ? torqueDifferential.at(d) / tension.at(d) : 0,
    );
  if (limits.nip !== undefined) add('nip', limits.nip, nip);
  return {
    diameters,
    list,
    start: Float64Array.from(start),
    lower: Float64Array.from(lower),
    upper: Float64Array.from(upper),
  };
}

/** Values of one knob at its knots [N/m, 1]. Source: definition. */
export const valuesOf = ({ diameters }: Knobs, { from }: Knob, x: Float64Array): Float64Array =>
  x.subarray(from, from + diameters.length);

/** A roll with its schedules as tables through the knots [m, N/m]. Source: definition. */
export function withKnobs(input: RollInput, knobs: Knobs, x: Float64Array): RollInput {
  const table = (values: ArrayLike<number>): ScheduleLaw => ({
    law: 'table',
    points: knobs.diameters.map((diameter, k) => ({ diameter, value: values[k] as number })),
  });
  let out = input;
  const [first] = knobs.list;
  const tensions = first === undefined ? new Float64Array() : valuesOf(knobs, first, x);
  for (const knob of knobs.list) {
    const values = valuesOf(knobs, knob, x);
    if (knob.key === 'tension') out = { ...out, tension: table(values) };
    else if (knob.key === 'nip') out = { ...out, nipSchedule: table(values) };
    else
      out = {
        ...out,
        torqueDifferential: table(values.map((share, k) => share * (tensions[k] as number))),
      };
  }
  return out;
}

/** Parts of the stretch between two knots whose slope is looked at. */
const partsOfStretch = 4;

/** Slope of tension and nip between knots, as a share of their largest value a metre of diameter [m, 1/m]. Source: chords of the schedule in force. */
export function steepness(
  { diameters, list }: Knobs,
  input: RollInput,
): { key: Knob['key']; at: Length; slope: number }[] {
  const { tension, nip } = rollBuild(input);
  return list.flatMap(({ key }) => {
    if (key === 'torque differential') return [];
    const at = key === 'tension' ? tension.at : nip;
    const largest = Math.max(...diameters.map((d) => at(d)));
    return diameters.slice(1).map((d1, k) => {
      const d0 = diameters[k] as number;
      const part = (d1 - d0) / partsOfStretch;
      const slopes = Array.from({ length: partsOfStretch }, (_, j) =>
        Math.abs(at(d0 + (j + 1) * part) - at(d0 + j * part)),
      );
      return { key, at: (d0 + d1) / 2, slope: largest > 0 ? Math.max(...slopes) / part / largest : 0 };
    });
  });
}
