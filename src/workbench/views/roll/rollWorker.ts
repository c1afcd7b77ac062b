import { predictRoll, type RollPrediction } from '../../../engine/program/roll/predictRoll.js';
import { type RollDocument, toRollInput } from '../../../engine/project/roll/rollDocument.js';
import type { UnitSystem } from '../../../engine/units/quantity.js';
import type { Problem } from '../../api/types.js';
import { asProblem } from '../../line/readLine.js';

export interface RollQuestion {
  readonly id: number;
  readonly document: RollDocument;
  readonly units: UnitSystem;
}

export type RollOutcome = { readonly prediction: RollPrediction } | { readonly problem: Problem };
export type RollAnswer = RollOutcome & { readonly id: number };

/** A roll of thousands of laps takes longer than a frame: it is wound beside the page. */
self.addEventListener('message', ({ data }: MessageEvent<RollQuestion>) => {
  const answer = (outcome: RollOutcome): void => self.postMessage({ id: data.id, ...outcome });
  try {
    answer({ prediction: predictRoll(toRollInput(data.document), data.units) });
  } catch (error) {
    answer({ problem: asProblem(error) });
  }
});
