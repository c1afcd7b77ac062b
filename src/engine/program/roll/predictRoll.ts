import type { Finding } from '../../findings.js';
import {
  alwaysWindow,
  chooseWindow,
  largestDifference,
  windowError,
} from '../../roll/stress/chooseWindow.js';
import type { FineWindow, StressUpdate, WindingInput, WoundRoll } from '../../roll/stress/windingInput.js';
import { windRoll } from '../../roll/stress/windRoll.js';
import { type CompressedRoll, compressedRoll } from '../../roll/stress/woundThickness.js';
import type { Length, Pressure, Ratio, UnitSystem } from '../../units/quantity.js';
import { hasDifferential } from '../product.js';
import { lapsStruck } from './jLines.js';
import { judgeSlip, type RollSlip } from './judgeSlip.js';
import { requireRoll } from './requireRoll.js';
import { type PredictedAfter, rollAfter } from './rollAfter.js';
import { type AiredRoll, airFindings, type RollAir, windWithAir } from './rollAir.js';
import { rollBuild } from './rollBuild.js';
import { rollFindings } from './rollFindings.js';
import type { RollInput } from './rollInput.js';
import { limitFindings, type PressureDip, pressureDip, type RollLimit, rollLimits } from './rollLimits.js';
import { lapsLookedAt } from './slipOverDiameter.js';

/** What is in a wound roll and whether its layers hold. Index 0 is the interface between core and first lap. */
export interface RollPrediction extends Omit<RollSlip, 'findings'> {
  readonly radius: Float64Array;
  readonly pressure: Float64Array;
  readonly hoopStress: Float64Array;
  readonly woundOnTension: Float64Array;
  readonly scheme: {
    readonly update: StressUpdate;
    readonly window: 'full' | FineWindow;
    /** Error of window and increments together, and of the window alone, as shares of the largest pressure. */
    readonly error: Ratio;
    readonly windowError: Ratio;
  };
  /** Pressure in the middle of the build, where it is flat there. */
  readonly plateauPressure?: Pressure;
  readonly corePressure: Pressure;
  readonly minimumHoopStress: { readonly value: Pressure; readonly radius: Length };
  /** Against what product, core and handling ask, the hoop stress first. */
  readonly limits: readonly RollLimit[];
  /** Where the pressure is lower than further out. */
  readonly dip?: PressureDip;
  /** Largest strain of the stack; NaN for a law without one. */
  readonly stackStrain: Ratio;
  /** Radius and density with the layers compressed by their pressure. */
  readonly compressed: CompressedRoll;
  /** Air between the laps, where it was asked for. */
  readonly air?: RollAir;
  /** After each step that follows winding; empty when none is stated. */
  readonly after: readonly PredictedAfter[];
  readonly findings: readonly Finding[];
}

/** Laps up to which the scheme's error is measured on the roll itself; longer rolls take it from a roll of this many laps. */
const lapsForError = 1500;

/**
 * Winds a roll by its tension, nip and torque differential, and judges its layers [Pa, N/m, 1]. Long rolls are wound with a moving fine window
 * unless every lap is asked for (`resolution`); `update` where the modulus of a lap is taken, the published explicit form for comparing. Throws for what is no roll.
 * @throws TautlineError argument_invalid. Source: docs/models/wound-roll.md, wound-on-tension.md.
 */
export function predictRoll(
  input: RollInput,
  units: UnitSystem = 'si',
  resolution: 'automatic' | 'full' = 'automatic',
  update: StressUpdate = 'mid-increment',
): RollPrediction {
  requireRoll(input);
  const { laps } = input;
  const windowOf = (w: WindingInput): FineWindow | undefined =>
    resolution === 'full' ? undefined : chooseWindow(w);
  const wind = (w: WindingInput): WoundRoll =>
    windRoll({
      ...w,
      update,
      window: windowOf(w),
      lookAt: [...new Set([...lapsLookedAt(laps), ...lapsStruck(input, w.caliper)])],
    });
  const aired = windWithAir(input, wind);
  const own = aired?.input ?? input;
  const plain = aired?.build ?? rollBuild(input);
  const made = { ...plain, winding: { ...(aired?.winding ?? plain.winding), update } };
  const { tension, winding } = made;
  const { stack } = winding;
  const window = windowOf(winding);
  const wound = aired?.roll ?? wind(winding);
  const roll = { ...wound, hoopStress: webStress(wound.hoopStress, aired, input) };
  const largest = roll.pressure.reduce((a, b) => Math.max(a, b), 0);
  const short = { ...winding, laps: Math.min(laps, lapsForError) };
  const ofWindow = windowError({ ...winding, window }, wound);
  const strain = stack.strain(largest);
  const middle = Math.floor(laps / 2);
  const plateau = plateauOf(roll.pressure);
  const webTension = roll.radius.reduce((most, r) => Math.max(most, tension.at(2 * r)), 0);
  const limits = rollLimits(input, roll);
  const lowest = limits[0] as RollLimit;
  const dip = pressureDip(roll);
  // Stress and thickness of a lap as it was wound, with its air; friction works on what the air leaves of the pressure.
  const held = aired?.held ?? ((pressure: Float64Array) => pressure);
  const holding = { ...wound, pressure: held(wound.pressure) };
  const { findings: ofSlip, ...judged } = judgeSlip(own, made, holding, wound.during, held, units);
  const { after, findings: ofSteps } = rollAfter(own, made, wound, units, held, judged.slipCases);
  return {
    radius: roll.radius,
    pressure: roll.pressure,
    hoopStress: roll.hoopStress,
    woundOnTension: roll.woundOn,
    ...judged,
    scheme: {
      update,
      window: window ?? 'full',
      error: ofWindow + schemeError(short),
      windowError: ofWindow,
    },
    ...(plateau && { plateauPressure: roll.pressure[middle] as number }),
    corePressure: roll.pressure[0] as number,
    minimumHoopStress: { value: lowest.value, radius: lowest.radius },
    stackStrain: strain,
    compressed: compressedRoll(
      roll.pressure,
      input.web.caliper,
      winding.coreRadius,
      winding.coreStiffness,
      stack,
      input.web.density,
      aired?.air.left,
    ),
    ...(aired && { air: aired.air }),
    after: after.map((a) => ({ ...a, hoopStress: webStress(a.hoopStress, aired, input) })),
    limits,
    ...(dip && { dip }),
    findings: [
      ...differentialFindings(input),
      ...airFindings(input, aired, units),
      ...rollFindings(own, { ...roll, stack, webTension }, units),
      ...limitFindings(limits, dip, units),
      ...ofSlip,
      ...ofSteps,
    ],
  };
}

const differentialFindings = ({ method, torqueDifferential }: RollInput): readonly Finding[] =>
  !hasDifferential(method) || torqueDifferential !== undefined
    ? []
    : [
        {
          code: 'torque_differential_missing',
          severity: 'warn',
          message: `a ${method} winder shares the tension between two motors, and the roll does not state how; equal shares are taken`,
          where: { pointer: 'wind' },
          next: 'state wind.torque_differential',
        },
      ];

/** Stress of the web from that of a lap with its air, which is thicker: σ·L/h. */
const webStress = (stress: Float64Array, aired: AiredRoll | undefined, { web }: RollInput): Float64Array =>
  aired === undefined ? stress : stress.map((s) => (s * aired.air.lapThickness) / web.caliper);

/** Largest change that solving every lap twice makes, as a share of the largest pressure; both with a window, which changes neither noticeably. */
function schemeError(input: WindingInput): Ratio {
  const windowed = { ...input, window: alwaysWindow(input.laps) };
  return largestDifference(
    windRoll({ ...windowed, update: 'corrected' }).pressure,
    windRoll(windowed).pressure,
  );
}

/** True when the middle third of the build is flat within a twentieth. */
function plateauOf(pressure: Float64Array): boolean {
  const n = pressure.length;
  if (n < 30) return false;
  const third = pressure.subarray(Math.floor(n / 3), Math.floor((2 * n) / 3));
  const high = third.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
  const low = third.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
  return high - low < 0.05 * high;
}
