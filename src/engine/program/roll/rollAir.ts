import type { Finding, FindingCode, Severity } from '../../findings.js';
import { airThickness, type LapAir, lapAir, stackWithAir } from '../../roll/air/woundAir.js';
import type { WindingInput, WoundRoll } from '../../roll/stress/windingInput.js';
import { formatQuantity } from '../../units/format.js';
import type { Caliper, Length, Pressure, Ratio, UnitSystem } from '../../units/quantity.js';
import { combinedRoughness, frictionWithAir } from '../../web/airFilm.js';
import { type RollBuild, rollBuild } from './rollBuild.js';
import { type RollInput, takesAir } from './rollInput.js';

/** Air in a wound roll, by lap. */
export interface RollAir {
  /** Film as the lap is laid. */
  readonly film: Float64Array;
  /** What is left of it under the pressure of the full roll. */
  readonly left: Float64Array;
  /** Share of the friction that is left; undefined without the roughness of the web. */
  readonly frictionShare?: Float64Array;
  /** Mean thickness of a lap with its air. */
  readonly lapThickness: Caliper;
}

/** A roll wound with air between its laps. */
export interface AiredRoll {
  /** The roll as if its web had the thickness of a lap with air, and modulus and density to match: what it carries and weighs per lap is the same. */
  readonly input: RollInput;
  readonly build: RollBuild;
  readonly winding: WindingInput;
  readonly roll: WoundRoll;
  readonly air: RollAir;
  /** Pressure that friction has to work with: that between the laps, less the share that the air takes [Pa]. */
  readonly held: (pressure: Float64Array) => Float64Array;
}

/** Share of the friction below which laps float: they can slide sideways. */
export const floatsBelow: Ratio = 0.5;
/** The mean thickness of a lap is repeated until it changes by less. */
const settled = 2e-3;
const mostRounds = 4;

/**
 * Winds a roll with the air that its laps take along, or nothing where none is asked for or none is taken: no speed, or a web that lets air through. The air makes laps thicker, the stack softer
 * and friction smaller [m, Pa, 1]. Thickness of a lap: caliper and the mean of what is left of the films, found by winding again.
 * @throws TautlineError argument_invalid where there is no thin film. Source: docs/models/wound-air.md.
 */
export function windWithAir(
  input: RollInput,
  wind: (winding: WindingInput) => WoundRoll,
): AiredRoll | undefined {
  const { web, speed = 0, air } = input;
  if (air === undefined || !takesAir(input)) return undefined;
  const centrifugal = (web.density ?? 0) * web.caliper * speed ** 2;
  let thickness: Caliper = web.caliper;
  for (let round = 1; ; round++) {
    const own = asThickAs(input, thickness);
    const build = rollBuild(own);
    const { radius, laps } = radiiOf(build.winding);
    const films = Array.from(radius, (r) =>
      lapAir(r, speed, build.tension.at(2 * r) - centrifugal, air.filmShare ?? 1),
    );
    const inner = build.winding.coreRadius;
    const lapThickness = thickness;
    const at = (r: Length): LapAir =>
      films[Math.max(0, Math.min(laps - 1, Math.round((r - inner) / lapThickness)))] as LapAir;
    const stack = stackWithAir(build.winding.stack, web.caliper, thickness, at, radius[laps - 1] as number);
    const winding = { ...build.winding, stack };
    const roll = wind(winding);
    const left = airLeft(films, roll.pressure);
    const next = web.caliper + left.reduce((a, b) => a + b, 0) / laps;
    const isSettled = Math.abs(next - thickness) < settled * thickness;
    if (!isSettled && round < mostRounds) {
      thickness = next;
      continue;
    }
    const share = (pressure: Float64Array): Float64Array | undefined =>
      web.roughness === undefined
        ? undefined
        : airLeft(films, pressure).map((h) =>
            frictionWithAir(1, h, combinedRoughness(web.roughness as number, web.roughness as number)),
          );
    const frictionShare = share(roll.pressure);
    return {
      input: own,
      build,
      winding,
      roll,
      air: {
        film: Float64Array.from(films, (f) => f.film),
        left,
        lapThickness,
        ...(frictionShare && { frictionShare }),
      },
      held: (pressure) => {
        const shares = share(pressure);
        return shares === undefined ? pressure : pressure.map((p, i) => p * (shares[i] as number));
      },
    };
  }
}

/** The same roll of a web as thick as a lap with its air: E·h and ρ·h stay. */
function asThickAs(input: RollInput, thickness: Caliper): RollInput {
  const { web } = input;
  const share: Ratio = web.caliper / thickness;
  return {
    ...input,
    web: {
      ...web,
      caliper: thickness,
      modulus: web.modulus * share,
      ...(web.density !== undefined && { density: web.density * share }),
    },
  };
}

const radiiOf = ({ laps, caliper, coreRadius }: WindingInput): { radius: Float64Array; laps: number } => ({
  radius: Float64Array.from({ length: laps }, (_, i) => coreRadius + i * caliper),
  laps,
});

/** What is left of each film under the pressure below its lap. */
const airLeft = (films: readonly LapAir[], pressure: Float64Array): Float64Array =>
  pressure.map((p: Pressure, i) => airThickness(films[i] as LapAir, Math.max(0, p)));

/** What is to be said about the air in a roll, and about air that was not computed. */
export function airFindings(input: RollInput, aired: AiredRoll | undefined, units: UnitSystem): Finding[] {
  const findings: Finding[] = [];
  const add = (
    code: FindingCode,
    severity: Severity,
    pointer: string,
    message: string,
    next: string,
  ): void => {
    findings.push({ code, severity, message, where: { pointer }, next });
  };
  if (input.air === undefined) return findings;
  if (aired === undefined) {
    if (input.web.permeable === true)
      add(
        'air_not_computed',
        'info',
        'wind.air',
        'the web lets air through, so no air is taken to stay between its laps',
        'leave wind.air out',
      );
    else
      add(
        'air_not_computed',
        'warn',
        'wind.air',
        'without a speed no air is taken along',
        'state speed_m_per_s',
      );
    return findings;
  }
  const hasNip = input.nip > 0 || input.nipSchedule !== undefined;
  if (hasNip && input.air.filmShare === undefined)
    add(
      'air_nip_unknown',
      'warn',
      'wind.air',
      'a nip lets less air pass, by how much is not computed: the film without a nip is taken, which is the most that can be',
      'measure what stays (roll diameter at two speeds) and state wind.air.film_share',
    );
  const { film, left, frictionShare, lapThickness } = aired.air;
  const caliper = (x: number): string => formatQuantity(x, 'caliper', units);
  const mean = (of: Float64Array): number => of.reduce((a, b) => a + b, 0) / of.length;
  add(
    'air_in_roll',
    'info',
    'wind.air',
    `laps take ${caliper(mean(film))} of air along on average, of which ${caliper(mean(left))} stay under pressure: a lap is ${caliper(lapThickness)} thick, and the roll that much larger`,
    'air that leaves at the edges later takes pressure and tension with it',
  );
  if (frictionShare === undefined) {
    add(
      'air_not_computed',
      'info',
      'web.roughness_m',
      'how much friction the air leaves is not known, since the roughness of the web is not stated; slip is judged as without air',
      'state web.roughness_m',
    );
    return findings;
  }
  // The outermost laps float under hardly any pressure in every roll; they are asked for little.
  const inside = frictionShare.subarray(0, Math.max(1, Math.floor(0.95 * frictionShare.length)));
  const least = inside.reduce((a, b) => Math.min(a, b), 1);
  if (least < floatsBelow)
    add(
      'air_floats_laps',
      'warn',
      'wind.air',
      `air leaves ${(100 * least).toPrecision(2)} % of the friction between laps somewhere in the inner 95 % of the roll: layers can slide sideways`,
      'wind slower or tighter, press the air out with a nip, or roughen the web',
    );
  return findings;
}
