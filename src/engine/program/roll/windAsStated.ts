import { windowForMany } from '../../roll/stress/chooseWindow.js';
import type { WindingInput, WoundRoll } from '../../roll/stress/windingInput.js';
import { windRoll } from '../../roll/stress/windRoll.js';
import { windWithAir } from './rollAir.js';
import { type RollBuild, rollBuild } from './rollBuild.js';
import type { RollInput } from './rollInput.js';

/** A roll wound as its input states it, with air where it says so. */
export interface StatedRoll {
  /** The input whose web is as thick as a lap, which stresses of `wound` belong to. */
  readonly input: RollInput;
  readonly build: RollBuild;
  readonly wound: WoundRoll;
  /** The same with the pressure that friction works on. */
  readonly holding: WoundRoll;
  /** Pressure that friction works on, of any pressure in the roll [Pa]. */
  readonly held: (pressure: Float64Array) => Float64Array;
  /** Stress of the web itself from that of a lap with its air [Pa]. */
  readonly webStress: (stress: Float64Array) => Float64Array;
}

/** Winds a roll as stated, air included, long ones with a moving window [Pa, N/m]: for those who wind many. `lookAt` numbers of laps after which the unfinished roll is kept. @throws TautlineError argument_invalid. Source: docs/models/wound-roll.md, wound-air.md. */
export function windAsStated(input: RollInput, lookAt: readonly number[] = []): StatedRoll {
  const wind = (w: WindingInput): WoundRoll => windRoll({ ...w, window: windowForMany(w.laps), lookAt });
  const aired = windWithAir(input, wind);
  if (aired === undefined) {
    const build = rollBuild(input);
    const wound = wind(build.winding);
    return { input, build, wound, holding: wound, held: (p) => p, webStress: (stress) => stress };
  }
  const { build, roll: wound, held, air } = aired;
  const share = air.lapThickness / input.web.caliper;
  return {
    input: aired.input,
    build,
    wound,
    holding: { ...wound, pressure: held(wound.pressure) },
    held,
    webStress: (stress) => stress.map((s) => s * share),
  };
}
