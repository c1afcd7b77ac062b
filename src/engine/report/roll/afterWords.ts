import type { RollPrediction } from '../../program/roll/predictRoll.js';
import type { AfterWindingStep } from '../../roll/afterWinding/afterWinding.js';
import type { Length, Pressure, QuantityKey, Ratio } from '../../units/quantity.js';
import { shortNumber } from '../format.js';

/** How a quantity is written: by the report, the workbench or the command, each in its own way. */
type WithUnit = (key: QuantityKey, si: number) => string;

/** What happens in a step after winding, in words: "cools by 10 K, comes to rest". */
export function stepWords(step: AfterWindingStep, withUnit: WithUnit): string {
  const { temperature, moisture, time, comesToRest } = step;
  const percent = (share: Ratio): string => `${shortNumber(100 * Math.abs(share))} %`;
  const rise = (change: number, words: readonly [none: string, up: string, down: string], by: string) =>
    change === 0 ? words[0] : `${change > 0 ? words[1] : words[2]} ${by}`;
  const words = [
    ...(comesToRest === true ? ['comes to rest'] : []),
    ...(temperature === undefined
      ? []
      : [
          rise(
            temperature,
            ['keeps its temperature', 'warms by', 'cools by'],
            withUnit('temperatureDifference', Math.abs(temperature)),
          ),
        ]),
    ...(moisture === undefined
      ? []
      : [rise(moisture, ['keeps its moisture', 'takes up', 'loses'], `${percent(moisture)} of moisture`)]),
    ...(time === undefined ? [] : [`creeps for ${timeWords(time, withUnit)}`]),
  ];
  return words.join(', ');
}

/** Days and hours are read as such, and seconds of two days are not. */
const timeWords = (seconds: number, withUnit: WithUnit): string =>
  seconds >= 2 * 86400
    ? `${shortNumber(seconds / 86400)} days`
    : seconds >= 3600
      ? `${shortNumber(seconds / 3600)} h`
      : withUnit('time', seconds);

/** A wound roll, and the same after each step that follows. */
export interface RollState {
  readonly words: string;
  readonly pressure: Float64Array;
  readonly hoopStress: Float64Array;
  readonly corePressure: Pressure;
  readonly highestPressure: Pressure;
  /** Smallest of all cases that ask for something; undefined when slip is not judged. */
  readonly smallestSlip?: Ratio;
  readonly loosensAt?: Length;
}

/** A roll as wound and after each of its steps, with what happened in words; the first alone when none is stated. */
export function rollStates(roll: RollPrediction, withUnit: WithUnit): [RollState, ...RollState[]] {
  const slip = (cases: RollPrediction['slipCases']): { smallestSlip?: Ratio } => {
    const least = Math.min(...cases.map((c) => c.smallest.value));
    return Number.isFinite(least) ? { smallestSlip: least } : {};
  };
  return [
    {
      words: 'as wound',
      pressure: roll.pressure,
      hoopStress: roll.hoopStress,
      corePressure: roll.corePressure,
      highestPressure: roll.pressure.reduce((a, b) => Math.max(a, b), 0),
      ...slip(roll.slipCases),
    },
    ...roll.after.map((a, k) => ({
      words: `${k + 1}: ${stepWords(a.step, withUnit)}`,
      pressure: a.pressure,
      hoopStress: a.hoopStress,
      corePressure: a.corePressure,
      highestPressure: a.highestPressure,
      ...slip(a.slipCases),
      ...(a.loosensAt !== undefined && { loosensAt: a.loosensAt }),
    })),
  ];
}
