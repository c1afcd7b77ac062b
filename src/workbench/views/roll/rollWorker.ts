import { type DesignedSchedule, designSchedule } from '../../../engine/program/roll/design/designSchedule.js';
import type { DesignTarget } from '../../../engine/program/roll/design/designTarget.js';
import type { LineLimits } from '../../../engine/program/roll/lineLimits/lineLimits.js';
import { predictRoll, type RollPrediction } from '../../../engine/program/roll/predictRoll.js';
import { type RollBand, rollBand } from '../../../engine/program/roll/rollBand.js';
import { type TaperAdvice, taperAdvice } from '../../../engine/program/roll/taperAdvice.js';
import { lowestTension, toDesignLimits } from '../../../engine/project/roll/designLimitsDocument.js';
import { type RollDocument, toRollInput } from '../../../engine/project/roll/rollDocument.js';
import type { UnitSystem } from '../../../engine/units/quantity.js';
import type { Problem } from '../../api/types.js';
import { asProblem } from '../../line/readLine.js';

/** What a page asks: the roll as it stands, and then the schedules beside it; or a designed one. */
export type RollQuestion = { readonly id: number; readonly units: UnitSystem } & (
  | { readonly kind: 'predict'; readonly document: RollDocument }
  | {
      readonly kind: 'design';
      readonly document: RollDocument;
      readonly target: DesignTarget;
      /** What the line and the product of the roll allow, where there are any. */
      readonly line?: LineLimits;
    }
  | { readonly kind: 'band'; readonly document: RollDocument; readonly rolls: number }
);

/** What comes back, one after the other. */
type RollNews =
  | { readonly kind: 'prediction'; readonly prediction: RollPrediction }
  | { readonly kind: 'advice'; readonly advice: TaperAdvice }
  | { readonly kind: 'step'; readonly step: number; readonly of: number }
  | { readonly kind: 'design'; readonly design: DesignedSchedule }
  | { readonly kind: 'band'; readonly band: RollBand }
  | { readonly kind: 'problem'; readonly problem: Problem };
export type RollAnswer = RollNews & { readonly id: number };

/** Enough for a band that does not move to the eye. */
const rollsOfDesign = 100;

/** A roll of thousands of laps takes longer than a frame: it is wound beside the page. */
self.addEventListener('message', ({ data }: MessageEvent<RollQuestion>) => {
  const answer = (news: RollNews): void => self.postMessage({ id: data.id, ...news });
  try {
    const input = toRollInput(data.document);
    if (data.kind === 'design') {
      const design = designSchedule(input, data.target, toDesignLimits(data.document, data.line), {
        units: data.units,
        onStep: (step, of) => {
          answer({ kind: 'step', step, of });
          return true;
        },
      });
      answer({ kind: 'design', design });
      // how sure the design is, a moment later
      answer({ kind: 'band', band: rollBand(design.input, { rolls: rollsOfDesign }) });
      return;
    }
    if (data.kind === 'band') {
      const band = rollBand(input, {
        rolls: data.rolls,
        onProgress: (step, of) => {
          answer({ kind: 'step', step, of });
          return true;
        },
      });
      answer({ kind: 'band', band });
      return;
    }
    const prediction = predictRoll(input, data.units);
    answer({ kind: 'prediction', prediction });
    const advice = taperAdvice(
      input,
      data.units,
      (own, units) => (own === input ? prediction : predictRoll(own, units)),
      lowestTension(data.document),
    );
    answer({ kind: 'advice', advice });
  } catch (error) {
    answer({ kind: 'problem', problem: asProblem(error) });
  }
});
