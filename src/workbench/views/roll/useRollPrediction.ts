import { useEffect, useRef, useState } from 'react';
import type { RollPrediction } from '../../../engine/program/roll/predictRoll.js';
import type { TaperAdvice } from '../../../engine/program/roll/taperAdvice.js';
import type { RollDocument } from '../../../engine/project/roll/rollDocument.js';
import type { UnitSystem } from '../../../engine/units/quantity.js';
import type { Problem } from '../../api/types.js';
import type { RollAnswer, RollQuestion } from './rollWorker.js';

export const newRollWorker = (): Worker =>
  new Worker(new URL('./rollWorker.ts', import.meta.url), { type: 'module' });

/** The latest of what is known; that of an earlier document while a newer one is being wound. */
export interface Predicted {
  readonly prediction?: RollPrediction;
  /** Comes a moment after the prediction that it belongs to. */
  readonly advice?: TaperAdvice;
  readonly problem?: Problem;
  readonly isWinding: boolean;
}

/** Winds a document in a worker. While one is being wound only the latest of what was asked meanwhile waits: a slider does not make a queue. */
export function useRollPrediction(document: RollDocument | undefined, units: UnitSystem): Predicted {
  const [known, setKnown] = useState<Predicted>({ isWinding: false });
  const worker = useRef<Worker>(undefined);
  const waiting = useRef<{ document: RollDocument; units: UnitSystem }>(undefined);
  const asked = useRef({ id: 0, isBusy: false });

  const ask = (to: Worker, question: { document: RollDocument; units: UnitSystem }): void => {
    asked.current = { id: asked.current.id + 1, isBusy: true };
    setKnown((k) => ({ ...k, isWinding: true }));
    to.postMessage({ ...question, kind: 'predict', id: asked.current.id } satisfies RollQuestion);
  };
  const latestAsk = useRef(ask);
  latestAsk.current = ask;

  useEffect(() => {
    const made = newRollWorker();
    worker.current = made;
    made.addEventListener('message', ({ data }: MessageEvent<RollAnswer>) => {
      if (data.id !== asked.current.id) return;
      if (data.kind === 'prediction')
        setKnown((k) => ({
          prediction: data.prediction,
          ...(k.advice && { advice: k.advice }),
          isWinding: true,
        }));
      else if (data.kind === 'advice') setKnown((k) => ({ ...k, advice: data.advice, isWinding: false }));
      else if (data.kind === 'problem') setKnown({ problem: data.problem, isWinding: false });
      const next = waiting.current;
      if (data.kind !== 'prediction') asked.current = { ...asked.current, isBusy: false };
      if (next !== undefined && data.kind !== 'prediction') {
        waiting.current = undefined;
        latestAsk.current(made, next);
      }
    });
    return () => made.terminate();
  }, []);

  useEffect(() => {
    if (document === undefined || worker.current === undefined) return;
    if (asked.current.isBusy) waiting.current = { document, units };
    else latestAsk.current(worker.current, { document, units });
  }, [document, units]);

  return known;
}
