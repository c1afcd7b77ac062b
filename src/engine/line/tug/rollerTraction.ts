import type { Acceleration, Angle, Length, Ratio, Speed, Tension } from '../../units/quantity.js';
import { airFilm, combinedRoughness, frictionWithAir } from '../../web/airFilm.js';
import {
  accelerationBeforeSlip,
  decelerationBeforeSlip,
  frictionNeeded,
  pressingTension,
} from '../../web/traction.js';
import type { Web } from '../../web/web.js';
import type { Roller } from '../line.js';
import { nearestToNothing } from './band.js';
import type { Interval, LineState } from './types.js';

/** What a roller and its web are at top speed, as far as traction asks. */
export interface TractionCase {
  readonly roller: Roller;
  readonly radius: Length;
  readonly wrap: Angle;
  readonly speed: Speed;
  readonly width: Length;
  readonly web?: Partial<Web>;
}

/** Tension before a roller and its rise over it while the line does something [N]. */
export interface TractionState {
  readonly when: LineState;
  readonly before: Interval;
  readonly rise: Interval;
}

export interface Traction {
  readonly film?: Length;
  readonly frictionNeeded?: Ratio;
  readonly friction?: Ratio;
  /** Friction that is there over friction needed: at worst and at best within what is not known. */
  readonly reserve?: Interval;
  readonly worstWhen: LineState;
  readonly accelerationBeforeSlip?: Acceleration;
  readonly decelerationBeforeSlip?: Acceleration;
  readonly provisos: readonly string[];
}

/** Friction of web on a roller where it is stated, before any air [1]. Source: definition. */
export const statedFriction = (roller: Roller, web: Partial<Web> | undefined): Ratio | undefined =>
  roller.friction ?? web?.frictionOnRoller;

/**
 * Tension that presses the web on a roller [N]: T − m′·v², with m′ from density, caliper and width; T alone where the web does not state these.
 * T tension [N], v speed [m/s], W width [m]. Source: {@link pressingTension}.
 */
export const pressing = (
  tension: Tension,
  speed: Speed,
  width: Length,
  web: Partial<Web> | undefined,
): Tension =>
  pressingTension(
    tension,
    web?.density === undefined || web.caliper === undefined ? 0 : web.density * web.caliper * width,
    speed,
  );

/**
 * Air film under the web [m]: 0 where grooves or the web itself lead it away, undefined where a roughness is not stated and it cannot be compared.
 * R radius [m], v speed [m/s], T tension that presses [N], W width [m]; Infinity under a web without tension. Source: {@link airFilm}.
 */
export function filmUnder(
  roller: Roller,
  radius: Length,
  speed: Speed,
  pressing: Tension,
  width: Length,
  web: Partial<Web> | undefined,
): Length | undefined {
  if (roller.grooved || web?.permeable === true || speed === 0) return 0;
  if (roller.roughness === undefined || web?.roughness === undefined) return undefined;
  if (!(pressing > 0)) return Number.POSITIVE_INFINITY;
  return pressing === Number.POSITIVE_INFINITY ? 0 : airFilm(radius, speed, speed, pressing / width);
}

/** Friction that a film leaves of the stated one [1]; all of it where the film is not known. Source: {@link frictionWithAir}. */
export const frictionUnder = (
  stated: Ratio,
  film: Length | undefined,
  roller: Roller,
  web: Partial<Web> | undefined,
): Ratio =>
  film === undefined || film === 0
    ? stated
    : frictionWithAir(stated, film, combinedRoughness(roller.roughness as number, web?.roughness as number));

/** Grip that a roller needs and has at top speed, over all states of the line [1, m/s²]. Source: docs/models/tug-budget.md. */
export function rollerTraction(of: TractionCase, states: readonly TractionState[]): Traction {
  const { roller, radius, wrap, speed, width, web } = of;
  const pressed = (tension: Tension): Tension => pressing(tension, speed, width, web);
  const stated = statedFriction(roller, web);
  const filmAt = (tension: Tension): Length | undefined =>
    filmUnder(roller, radius, speed, pressed(tension), width, web);
  /** Infinite for a web without tension; nothing for one whose tension has no bound. */
  const needed = (before: Tension, rise: Tension): Ratio => {
    if (rise === 0 || before === Number.POSITIVE_INFINITY) return 0;
    const [one, other] = [pressed(before), pressed(before + rise)];
    return one > 0 && other > 0 && Number.isFinite(other)
      ? frictionNeeded(one, other, wrap)
      : Number.POSITIVE_INFINITY;
  };
  const reserveAt = (before: Tension, need: Ratio): Ratio =>
    need === 0
      ? Number.POSITIVE_INFINITY
      : stated === undefined
        ? Number.NaN
        : frictionUnder(stated, filmAt(before), roller, web) / need;
  const judged = states.map(({ when, before, rise }) => {
    const most = Math.max(needed(before.low, rise.low), needed(before.low, rise.high));
    const least = needed(before.high, nearestToNothing(rise));
    return {
      when,
      needed: most,
      low: reserveAt(before.low, most),
      high: reserveAt(before.high, least),
    };
  });
  const worst = judged.reduce((a, b) => (b.needed > a.needed ? b : a));
  const running = states[0] as TractionState;
  const low = pressed(running.before.low);
  const film = filmAt(running.before.low);
  const friction = stated === undefined ? undefined : frictionUnder(stated, film, roller, web);
  const slip =
    friction === undefined || roller.inertia === undefined || !(low > 0)
      ? undefined
      : { friction, inertia: roller.inertia.value };
  return {
    ...(film !== undefined && Number.isFinite(film) && { film }),
    ...(Number.isFinite(worst.needed) && { frictionNeeded: worst.needed }),
    ...(friction !== undefined && {
      friction,
      reserve: {
        low: Math.min(...judged.map((j) => j.low)),
        high: Math.min(...judged.map((j) => j.high)),
      },
    }),
    worstWhen: worst.when,
    ...(slip &&
      Number.isFinite(running.rise.high) && {
        accelerationBeforeSlip: accelerationBeforeSlip(
          slip.friction,
          wrap,
          low,
          running.rise.high * radius,
          radius,
          slip.inertia,
        ),
      }),
    ...(slip && {
      decelerationBeforeSlip: decelerationBeforeSlip(
        slip.friction,
        wrap,
        low,
        running.rise.low * radius,
        radius,
        slip.inertia,
      ),
    }),
    provisos: film === undefined ? [`air under the web is left out: ${unstated(roller, web)}`] : [],
  };
}

const unstated = (roller: Roller, web: Partial<Web> | undefined): string =>
  [
    ...(roller.roughness === undefined ? ['the roughness of the roller is not stated'] : []),
    ...(web?.roughness === undefined ? ['the roughness of the web is not stated'] : []),
  ].join(', ');
