import { elasticHook, type WindingStage } from '../../roll/jLine/elasticHook.js';
import { handlingAt, rollHandling } from '../../roll/slip/handling.js';
import { slipDemand } from '../../roll/slip/slipMargin.js';
import type { PartRoll } from '../../roll/stress/windingInput.js';
import type { Caliper, Length, Modulus, Pressure } from '../../units/quantity.js';
import type { RollBuild } from './rollBuild.js';
import type { RollInput } from './rollInput.js';
import { rollStates, type SlippingRoll, slipRoll } from './slipCases.js';
import type { Slide, SlipAtDiameter, SlipPlace } from './slipOverDiameter.js';
import { unfinishedRoll } from './unfinishedRoll.js';

/** A line as it stands on the finished roll. */
export interface JLine {
  /** Diameter that the roll had when the line was struck. */
  readonly struckAt: Length;
  /** Of each lap under the line, and how far it has moved in winding direction against the end of the line, elastically. */
  readonly radius: Float64Array;
  readonly elasticShift: Float64Array;
  /** Jumps that ramps leave in the line when they come at the worst diameter after it was struck. */
  readonly steps: readonly (Slide & {
    readonly name: SlipAtDiameter['name'];
    readonly diameter: Length;
  })[];
}

/** Number of laps that a line struck at each diameter was struck over, in the order stated; those at which no lap or the whole roll is wound are left out. Diameters [m]. Source: definition. */
export function lapsStruck({ jLine, core, web, laps }: RollInput, caliper: Caliper = web.caliper): number[] {
  return (jLine?.struckAt ?? [])
    .map((d) => Math.round((d / 2 - core.outerRadius) / caliper))
    .filter((n) => n >= 1 && n < laps);
}

/**
 * How lines that were struck on the side of a roll while it was wound stand on the finished roll, steadily wound and with its tension on: an elastic hook, which goes back with the torque, and the jumps that slipping in the stated ramps leaves, which do not [m].
 * Source: docs/models/j-line.md.
 */
export function jLines(
  input: SlippingRoll,
  made: RollBuild,
  radius: Float64Array,
  during: readonly PartRoll[],
  places: readonly SlipPlace[],
): JLine[] {
  const { jLine, web, core } = input;
  if (jLine === undefined) return [];
  const { caliper, stack, coreRadius } = made.winding;
  const { shear } = jLine;
  const shearModulus = (p: Pressure, r: Length): Modulus =>
    'modulus' in shear ? shear.modulus : shear.shareOfRadial * stack.at(p, r);
  const stages = during.map((part) => stageOf(input, made, radius, part));
  return lapsStruck(input, caliper).map((laps): JLine => {
    const struckAt = 2 * (coreRadius + laps * caliper);
    return {
      struckAt,
      radius: radius.slice(0, laps),
      elasticShift: elasticHook(
        { coreRadius: core.outerRadius, caliper, width: web.width, shearModulus },
        stages.filter((s) => s.laps >= laps),
      ),
      steps: worstSteps(
        places.filter((p) => p.diameter >= struckAt),
        struckAt / 2,
      ),
    };
  });
}

/** Torque of every interface while an unfinished roll is wound steadily. */
function stageOf(
  input: SlippingRoll,
  made: RollBuild,
  radius: Float64Array,
  { laps, pressure }: PartRoll,
): WindingStage {
  const { diameter, part } = unfinishedRoll(made, radius, { laps, pressure });
  const roll = slipRoll(input, part);
  const states = rollStates(input, made, diameter);
  const torque = rollHandling(roll, states)
    .filter((way) => way.name === 'winding')
    .map((way) =>
      part.radius.map((at, i) => slipDemand(roll, handlingAt(way), at, part.hoopStress[i] as number)),
    )[0];
  return { laps, pressure, torque: torque ?? new Float64Array(laps) };
}

/** Of each way of handling the longest slide that cuts the line, which ends at a radius. */
function worstSteps(places: readonly SlipPlace[], end: Length): JLine['steps'] {
  const worst = new Map<string, JLine['steps'][number]>();
  for (const { diameter, cases } of places)
    for (const { name, slides } of cases) {
      if (slides === undefined || slides.radius >= end) continue;
      if (slides.arc > (worst.get(name)?.arc ?? 0)) worst.set(name, { name, diameter, ...slides });
    }
  return [...worst.values()];
}
