import { TautlineError } from '../../errors.js';
import type { Density, Length, Ratio, Speed, TemperatureDifference, Time } from '../../units/quantity.js';
import { hoopStress } from '../stress/windRoll.js';
import { type FreeStrain, loosensAt, pressureFromFreeStrain, type RollBody } from './freeStrain.js';

/** Strain per kelvin, or per unit of moisture, of the free material: along and through the web, and of the core's surface. */
export interface Expansion {
  readonly along: number;
  readonly through: number;
  readonly core: number;
}

/** Creep along the web as a Prony series: compliance J(t) = [1 + Σ sₖ·(1 − exp(−t/τₖ))]/E_t. */
export interface Creep {
  /** sₖ: what each term adds to the strain in the end, as a share of the elastic one. */
  readonly shares: readonly Ratio[];
  readonly times: readonly Time[];
}

/** What happens to a wound roll: all of it together, over one stretch of time. */
export interface AfterWindingStep {
  readonly temperature?: TemperatureDifference;
  /** Change of the moisture, as a share of the dry mass [1]. */
  readonly moisture?: Ratio;
  /** For how long the web creeps. */
  readonly time?: Time;
  /** The roll, pressed by less while it turned, comes to rest. */
  readonly comesToRest?: boolean;
}

/** A roll as it turned at the end of winding. */
export interface Spin {
  readonly density: Density;
  /** Of its surface. */
  readonly speed: Speed;
  readonly outerRadius: Length;
}

export interface AfterWinding {
  readonly expansion?: Expansion;
  readonly swelling?: Expansion;
  readonly creep?: Creep;
  readonly spin?: Spin;
  readonly steps: readonly AfterWindingStep[];
}

/** A roll after one of the steps. */
export interface RollAfter {
  readonly pressure: Float64Array;
  readonly hoopStress: Float64Array;
  /** Innermost radius at which laps have no pressure any more; what follows is then not computed. */
  readonly loosensAt?: Length;
}

/** Parts that a step is applied in. */
const partsOfStep = 20;
/** First part of a stretch of creep, in units of the shortest time constant. */
const firstPart = 0.02;

/**
 * Pressures and stresses of a wound roll after changes of temperature and moisture, and while the web creeps [Pa, K, 1, s]. Each step is applied in parts, the stack modulus follows the
 * pressure from part to part ({@link pressureFromFreeStrain}). Creep begins with the first step: what crept during winding is left out. A step that leaves laps without pressure ends the computation.
 * Valid: temperature and moisture even over the roll, as after long storage; creep linear in stress and along the web only; else as {@link pressureFromFreeStrain}.
 * @throws TautlineError argument_invalid for a step whose coefficients are not stated, and values that are none
 * Source: docs/models/after-winding.md.
 */
export function afterWinding(body: RollBody, wound: Float64Array, after: AfterWinding): RollAfter[] {
  const laps = wound.length;
  let pressure = wound;
  let stress = hoopStress(body.radius, pressure, body.caliper);
  // Creep strain of each term and lap so far.
  const crept = (after.creep?.shares ?? []).map(() => new Float64Array(laps));
  const results: RollAfter[] = [];
  for (const [index, step] of after.steps.entries()) {
    const whole = checkedStrain(after, step, index);
    const parts = partsOf(step.time, after.creep);
    for (const part of parts) {
      const along = new Float64Array(laps).fill(whole.along * part.share);
      if (after.creep !== undefined && part.time > 0)
        creepOver(
          after.creep,
          part.time,
          stress.map((s) => s / body.modulus),
          crept,
          along,
        );
      const through = new Float64Array(laps).fill(whole.through * part.share);
      if (step.comesToRest === true) addRest(body, after.spin as Spin, part.share, along, through);
      const strain: FreeStrain = { along, through, core: whole.core * part.share };
      const change = pressureFromFreeStrain(body, pressure, strain);
      pressure = pressure.map((p, i) => p + (change[i] as number));
      stress = hoopStress(body.radius, pressure, body.caliper);
      const gone = loosensAt(body.radius, pressure);
      if (gone !== undefined) return [...results, { pressure, hoopStress: stress, loosensAt: gone }];
    }
    results.push({ pressure, hoopStress: stress });
  }
  return results;
}

/**
 * Adds the free strain that stands for the centrifugal force that goes when a roll comes to rest: −ρ·ω²·r²/E_t along, ν times as much the other way through. With σ_t = −d(r·P)/dr + ρ·ω²·r² the equation of the turning roll has the
 * source (3 + ν)·ρ·ω²·r² that these two give.
 */
function addRest(
  { radius, caliper, modulus, poisson }: RollBody,
  { density, speed, outerRadius }: Spin,
  share: Ratio,
  along: Float64Array,
  through: Float64Array,
): void {
  const square = (speed / outerRadius) ** 2;
  for (let i = 0; i < along.length; i++) {
    const middle = (radius[i] as number) + 0.5 * caliper;
    const strain = (share * density * square * middle * middle) / modulus;
    along[i] = (along[i] as number) - strain;
    through[i] = (through[i] as number) + poisson * strain;
  }
}

/** Adds to `along` what each lap creeps over a time at its strain; every term goes towards its share of that strain. */
function creepOver(
  { shares, times }: Creep,
  time: Time,
  strain: Float64Array,
  crept: readonly Float64Array[],
  along: Float64Array,
): void {
  for (const [k, term] of crept.entries()) {
    const done = -Math.expm1(-time / (times[k] as number));
    for (let i = 0; i < term.length; i++) {
      const more = ((shares[k] as number) * (strain[i] as number) - (term[i] as number)) * done;
      term[i] = (term[i] as number) + more;
      along[i] = (along[i] as number) + more;
    }
  }
}

interface Part {
  /** Of the change of temperature and moisture. */
  readonly share: Ratio;
  readonly time: Time;
}

/** Even parts without creep; with it parts that grow, so that the fast terms are followed too. */
function partsOf(time: Time | undefined, creep: Creep | undefined): Part[] {
  if (time === undefined || creep === undefined)
    return Array.from({ length: partsOfStep }, () => ({ share: 1 / partsOfStep, time: 0 }));
  const shortest = Math.min(...creep.times);
  const parts: Part[] = [];
  let at = 0;
  for (let length = Math.min(firstPart * shortest, time / partsOfStep); at < time; length *= 1.05) {
    const next = at + length > 0.999 * time ? time : at + length;
    parts.push({ share: (next - at) / time, time: next - at });
    at = next;
  }
  return parts;
}

function checkedStrain(
  { expansion, swelling, creep, spin }: AfterWinding,
  { temperature, moisture, time, comesToRest }: AfterWindingStep,
  index: number,
): { along: Ratio; through: Ratio; core: Ratio } {
  const refuse = (message: string, next: string): never => {
    throw new TautlineError(
      'argument_invalid',
      { step: index },
      `step ${index + 1} after winding: ${message}`,
      next,
    );
  };
  const finite = (...values: (number | undefined)[]): boolean =>
    values.every((v) => v === undefined || Number.isFinite(v));
  if (!finite(temperature, moisture, time)) refuse('a value is no number', 'state a finite value');
  if (temperature === undefined && moisture === undefined && time === undefined && comesToRest !== true)
    refuse('nothing happens', 'state a change of temperature or moisture, a time, or that it comes to rest');
  if (
    comesToRest === true &&
    !(spin !== undefined && spin.density > 0 && spin.speed >= 0 && spin.outerRadius > 0)
  )
    refuse('coming to rest needs the speed of winding and the density of the web', 'state them');
  if (temperature !== undefined && expansion === undefined)
    refuse('a change of temperature needs coefficients of expansion', 'state them');
  if (moisture !== undefined && swelling === undefined)
    refuse('a change of moisture needs coefficients of swelling', 'state them');
  if (time !== undefined) checkCreep(creep, time, refuse);
  const [byHeat, byMoisture] = [temperature ?? 0, moisture ?? 0];
  const of = (key: keyof Expansion): Ratio =>
    (expansion?.[key] ?? 0) * byHeat + (swelling?.[key] ?? 0) * byMoisture;
  return { along: of('along'), through: of('through'), core: of('core') };
}

function checkCreep(
  creep: Creep | undefined,
  time: Time,
  refuse: (message: string, next: string) => never,
): void {
  if (creep === undefined) refuse('a time needs the creep of the web', 'state its shares and time constants');
  else if (
    !(time > 0) ||
    creep.shares.length === 0 ||
    creep.shares.length !== creep.times.length ||
    !creep.shares.every((s) => s >= 0 && Number.isFinite(s)) ||
    !creep.times.every((t) => t > 0 && Number.isFinite(t))
  )
    refuse(
      'creep needs a time above 0, and as many shares of at least 0 as time constants above 0',
      'correct shares and time constants',
    );
}
