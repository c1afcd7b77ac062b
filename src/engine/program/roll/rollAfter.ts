import type { Finding } from '../../findings.js';
import { type AfterWindingStep, afterWinding } from '../../roll/afterWinding/afterWinding.js';
import type { HandlingName } from '../../roll/slip/handling.js';
import type { WoundRoll } from '../../roll/stress/windingInput.js';
import { formatQuantity } from '../../units/format.js';
import type { Length, Pressure, UnitSystem } from '../../units/quantity.js';
import { handlingWords } from './judgeSlip.js';
import type { RollBuild } from './rollBuild.js';
import type { RollInput } from './rollInput.js';
import { isSlipping, rollStates, slipCases } from './slipCases.js';

/** A roll after one of its steps after winding. */
export interface PredictedAfter {
  readonly step: AfterWindingStep;
  readonly pressure: Float64Array;
  readonly hoopStress: Float64Array;
  readonly corePressure: Pressure;
  readonly highestPressure: Pressure;
  readonly loosensAt?: Length;
  readonly slipCases: readonly {
    readonly name: HandlingName;
    readonly smallest: { readonly value: number; readonly radius: Length };
  }[];
}

/**
 * What a roll is like after the steps that follow winding, with its slip judged anew where friction and density are stated [Pa, m, 1]. `held` is the pressure that friction works on, where air takes a share; `asWound` the slip before the steps, so that only what is new is a finding.
 * @throws TautlineError argument_invalid. Source: docs/models/after-winding.md.
 */
export function rollAfter(
  input: RollInput,
  made: RollBuild,
  wound: WoundRoll,
  units: UnitSystem,
  held: (pressure: Float64Array) => Float64Array,
  asWound: PredictedAfter['slipCases'] = [],
): { readonly after: readonly PredictedAfter[]; readonly findings: readonly Finding[] } {
  if (input.afterWinding === undefined) return { after: [], findings: [] };
  const { caliper, modulus, poisson, stack, coreStiffness } = made.winding;
  const body = { radius: wound.radius, caliper, modulus, poisson, stack, coreStiffness };
  const findings: Finding[] = [];
  const spin = input.web.density !== undefined &&
    input.speed !== undefined && {
      spin: { density: input.web.density, speed: input.speed, outerRadius: made.build.full / 2 },
    };
  const steps = { ...input.afterWinding, ...spin };
  // What slips as wound, or after an earlier step, has been said.
  const said = new Set(asWound.filter((c) => c.smallest.value < 1).map((c) => c.name));
  const after = afterWinding(body, wound.pressure, steps).map((state, k): PredictedAfter => {
    const { pressure, loosensAt } = state;
    const warn = (code: 'layers_loosen' | 'layers_slip', message: string, next: string): void => {
      findings.push({
        code,
        severity: 'warn',
        message,
        where: { pointer: `after_winding.steps.${k}` },
        next,
      });
    };
    if (loosensAt !== undefined)
      warn(
        'layers_loosen',
        `in step ${k + 1} after winding laps lose their pressure at a radius of ${formatQuantity(loosensAt, 'length', units)}; later steps are not computed`,
        'wind tighter there, or keep the roll and its core nearer to the temperature and moisture of winding',
      );
    const judged =
      !isSlipping(input) || loosensAt !== undefined
        ? []
        : slipCases(
            input,
            { radius: wound.radius, pressure: held(pressure), hoopStress: state.hoopStress },
            rollStates(input, made, made.build.full),
          ).judged.map(({ name, smallest }) => ({ name, smallest }));
    for (const { name, smallest } of judged) {
      if (!(smallest.value < 1) || said.has(name)) continue;
      said.add(name);
      warn(
        'layers_slip',
        `after step ${k + 1} layers slip (${handlingWords[name]}) at a radius of ${formatQuantity(smallest.radius, 'length', units)}: they hold ${(100 * smallest.value).toPrecision(3)} % of the torque`,
        'wind tighter there, or handle the roll more gently',
      );
    }
    return {
      step: (input.afterWinding?.steps[k] ?? {}) as AfterWindingStep,
      pressure,
      hoopStress: state.hoopStress,
      corePressure: pressure[0] as number,
      highestPressure: pressure.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY),
      ...(loosensAt !== undefined && { loosensAt }),
      slipCases: judged,
    };
  });
  return { after, findings };
}
