import { isTautlineError, type TautlineError } from '../../engine/errors.js';
import { type DesignedSchedule, designSchedule } from '../../engine/program/roll/design/designSchedule.js';
import type { DesignLimits, DesignTarget } from '../../engine/program/roll/design/designTarget.js';
import { lineLimits } from '../../engine/program/roll/lineLimits/lineLimits.js';
import { predictRoll } from '../../engine/program/roll/predictRoll.js';
import { type RollBand, rollBand } from '../../engine/program/roll/rollBand.js';
import type { RollInput } from '../../engine/program/roll/rollInput.js';
import { type TaperAdvice, taperAdvice } from '../../engine/program/roll/taperAdvice.js';
import { lowestTension, toDesignLimits } from '../../engine/project/roll/designLimitsDocument.js';
import { toDesignTarget } from '../../engine/project/roll/rollDocument.js';
import type { UnitSystem } from '../../engine/units/quantity.js';
import { placedError } from '../documents/yamlDocument.js';
import { confinePath } from '../files/confinePath.js';
import { yamlFilesIn } from './lineResults.js';
import { readRoll } from './readRoll.js';
import { readRollLine } from './readRollLine.js';

/** A roll of the folder with what follows from it, findings placed in its file. */
export interface RollResult {
  /** Path from the line folder. */
  readonly file: string;
  readonly name: string;
  readonly invented: boolean;
  readonly advice: TaperAdvice;
  readonly design?: {
    readonly target: DesignTarget;
    readonly made: DesignedSchedule;
    readonly band: RollBand;
  };
}

/** Winds every roll in rolls/. One that cannot be read is listed and left out. */
export async function rollResults(
  folder: string,
  units: UnitSystem,
): Promise<{
  readonly rolls: readonly RollResult[];
  readonly unreadable: readonly { readonly file: string; readonly error: TautlineError }[];
}> {
  const rolls: RollResult[] = [];
  const unreadable: { file: string; error: TautlineError }[] = [];
  for (const file of await yamlFilesIn(folder, 'rolls')) {
    try {
      const { document, input, placed } = await readRoll(await confinePath(folder, file));
      try {
        const own = await readRollLine(await confinePath(folder, file));
        const found = own && lineLimits(input, own.line, own.product, units);
        const ofLine = found && 'winder' in found ? found : undefined;
        const advice = taperAdvice(input, units, predictRoll, lowestTension(document, ofLine));
        const target = toDesignTarget(document);
        rolls.push({
          file,
          name: document.name ?? file,
          invented: document.invented === true,
          advice: {
            ...advice,
            variants: advice.variants.map((v) => ({
              ...v,
              prediction: {
                ...v.prediction,
                findings: [...v.prediction.findings, ...(found?.findings ?? [])].map((f) => ({
                  ...f,
                  where: placed(f.where),
                })),
              },
            })),
          },
          ...(target && { design: designed(input, target, toDesignLimits(document, ofLine), units) }),
        });
      } catch (error) {
        throw placedError(error, placed);
      }
    } catch (error) {
      if (!isTautlineError(error)) throw error;
      unreadable.push({ file, error });
    }
  }
  return { rolls, unreadable };
}

/** Rolls behind the band of a report: enough that it does not move to the eye. */
const rollsOfBand = 60;

function designed(
  input: RollInput,
  target: DesignTarget,
  limits: DesignLimits,
  units: UnitSystem,
): NonNullable<RollResult['design']> {
  const made = designSchedule(input, target, limits, { units });
  return { target, made, band: rollBand(made.input, { rolls: rollsOfBand }) };
}
