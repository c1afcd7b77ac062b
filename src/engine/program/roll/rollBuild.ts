import { type StackModulus, stackModulus } from '../../roll/stress/stackModulus.js';
import type { WindingInput } from '../../roll/stress/windingInput.js';
import { defaultCoefficients, twoDrumWoundOnTension, woundOnTension } from '../../roll/woundOnTension.js';
import type { Length, TensionPerWidth } from '../../units/quantity.js';
import type { Build } from '../schedule/laws.js';
import { createSchedule } from '../schedule/schedule.js';
import type { Schedule } from '../schedule/types.js';
import { share1 } from '../torqueDifferential.js';
import type { RollInput } from './rollInput.js';

/** How a roll builds up: its schedules in force, and what they put into it. */
export interface RollBuild {
  readonly build: Build;
  readonly tension: Schedule;
  readonly torqueDifferential?: Schedule;
  readonly nip: (diameter: Length) => TensionPerWidth;
  /** Force through the roll's own motor, or through the front drum [N/m]. */
  readonly coreForce: (diameter: Length) => TensionPerWidth;
  /** Force at the surface that the torque of the roll's core makes: none on two drums [N/m]. */
  readonly forceAtCore: (diameter: Length) => TensionPerWidth;
  readonly winding: WindingInput & { readonly stack: StackModulus };
}

/**
 * The winding of a roll from its schedules: wound-on tension of every lap, less what centrifugal force takes of it, ρ·h·v² [N/m].
 * @throws TautlineError argument_invalid. Source: docs/models/wound-on-tension.md, wound-roll.md.
 */
export function rollBuild(input: RollInput): RollBuild {
  const { web, core, laps } = input;
  const build = { core: 2 * core.outerRadius, full: 2 * (core.outerRadius + laps * web.caliper) };
  const tension = createSchedule(input.tension, build, { name: 'tension' });
  const differential =
    input.torqueDifferential &&
    createSchedule(input.torqueDifferential, build, { name: 'torque differential', mayBeNegative: true });
  const nips = input.nipSchedule && createSchedule(input.nipSchedule, build, { name: 'nip' });
  const nip = (diameter: Length): TensionPerWidth => nips?.at(diameter) ?? input.nip;
  const coefficients = { ...defaultCoefficients(web.friction ?? 0), ...input.woundOn };
  const coreForce = (diameter: Length): TensionPerWidth => {
    const t = tension.at(diameter);
    if (input.method === 'centre') return t;
    if (input.method === 'surface') return 0;
    return share1(t, differential?.at(diameter) ?? 0);
  };
  // Centrifugal force takes ρ·h·v² of every lap's tension while the roll turns.
  const centrifugal = (web.density ?? 0) * web.caliper * (input.speed ?? 0) ** 2;
  const ofNips = (force: TensionPerWidth, at: TensionPerWidth): TensionPerWidth =>
    input.method === 'two-drum'
      ? twoDrumWoundOnTension(coefficients, force, { rear: at, front: at, rider: 0 })
      : woundOnTension(coefficients, force, at);
  const winding = {
    laps,
    caliper: web.caliper,
    coreRadius: core.outerRadius,
    modulus: web.modulus,
    poisson: web.poisson ?? 0,
    stack: stackModulus(web.stack),
    coreStiffness: core.stiffness,
    woundOn: (_lap: number, r: Length): TensionPerWidth =>
      Math.max(0, ofNips(coreForce(2 * r), nip(2 * r)) - centrifugal),
  };
  return {
    build,
    tension,
    ...(differential && { torqueDifferential: differential }),
    nip,
    coreForce,
    forceAtCore: (diameter) => (input.method === 'two-drum' ? 0 : coreForce(diameter)),
    winding,
  };
}
