import type { HandlingName } from '../../../roll/slip/handling.js';
import type { SlipMargin } from '../../../roll/slip/slipMargin.js';
import type { Length, Pressure, Ratio } from '../../../units/quantity.js';
import type { RollInput } from '../rollInput.js';
import { isSlipping, rollStates, slipCases } from '../slipCases.js';
import { unfinishedRoll } from '../unfinishedRoll.js';
import { type StatedRoll, windAsStated } from '../windAsStated.js';

/** Where margins and pressures are taken, evenly over the build. */
export const places = 60;
/** Shares of the build at which the unfinished roll is judged as well. */
const onTheWay = [0.25, 0.5, 0.75];

/** A roll that was wound on trial, thinned to the places that are looked at. */
export interface Trial {
  readonly pressures: Float64Array;
  readonly hoopStress: Float64Array;
  /** Margins of every case at every place, of the full roll and on the way. */
  readonly margins: Float64Array;
  /** How many rolls that are: the full one and those on the way. */
  readonly rolls: number;
  readonly smallest?: {
    readonly value: Ratio;
    readonly radius: Length;
    readonly case: HandlingName;
    /** Of the roll when it is that. */
    readonly diameter: Length;
  };
  readonly largestPressure: Pressure;
  readonly corePressure: Pressure;
  readonly smallestHoop: Pressure;
}

/** Winds a roll on trial [Pa, 1, m]. @throws TautlineError argument_invalid. Source: docs/models/wound-roll.md, "Designing a schedule". */
export function tryRoll(input: RollInput): Trial {
  const looks = onTheWay.map((share) => Math.round(share * input.laps)).filter((laps) => laps > 2);
  const stated = windAsStated(input, [...new Set(looks)]);
  const { wound, webStress } = stated;
  const stress = webStress(wound.hoopStress);
  const at = evenly(wound.pressure.length);
  const slip = judgedSlip(stated);
  const least = slip.reduce<(typeof slip)[number] | undefined>(
    (a, b) => (a === undefined || b.smallest.value < a.smallest.value ? b : a),
    undefined,
  );
  return {
    pressures: Float64Array.from(at, (i) => wound.pressure[i] as number),
    hoopStress: Float64Array.from(at, (i) => stress[i] as number),
    margins: Float64Array.from(
      slip.flatMap(({ margin }) => evenly(margin.length).map((i) => margin[i] as number)),
    ),
    rolls: wound.during.length + 1,
    ...(least && { smallest: { ...least.smallest, case: least.name, diameter: least.diameter } }),
    largestPressure: wound.pressure.reduce((a, b) => Math.max(a, b), 0),
    corePressure: wound.pressure[0] as number,
    smallestHoop: stress.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY),
  };
}

/** Places of a roll of n laps. */
const evenly = (n: number): number[] =>
  Array.from({ length: Math.min(places, n) }, (_, k, m = Math.min(places, n)) =>
    Math.round((k * (n - 1)) / Math.max(1, m)),
  );

/** Slip of the full roll, and of the unfinished one on the way; nothing where it cannot be judged. */
function judgedSlip({
  input,
  build: made,
  wound,
  holding,
  held,
}: StatedRoll): ({ readonly name: HandlingName; readonly diameter: Length } & SlipMargin)[] {
  if (!isSlipping(input)) return [];
  const parts = wound.during.map((part) => unfinishedRoll(made, wound.radius, part, held));
  return [...parts, { diameter: made.build.full, part: holding }].flatMap(({ diameter, part }) =>
    slipCases(input, part, rollStates(input, made, diameter)).judged.map(({ name, margin, smallest }) => ({
      name,
      margin,
      smallest,
      diameter,
    })),
  );
}
