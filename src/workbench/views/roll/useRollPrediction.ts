import { useEffect, useRef, useState } from 'react';
import type { RollDocument } from '../../../engine/project/roll/rollDocument.js';
import type { UnitSystem } from '../../../engine/units/quantity.js';
import type { RollAnswer, RollOutcome, RollQuestion } from './rollWorker.js';

export interface Predicted {
  /** The latest outcome; that of an earlier document while a newer one is being wound. */
  readonly outcome: RollOutcome | undefined;
  readonly isWinding: boolean;
}

/** Winds a document in a worker. While one is being wound only the latest of what was asked meanwhile waits: a slider does not make a queue. */
export function useRollPrediction(document: RollDocument | undefined, units: UnitSystem): Predicted {
  const [outcome, setOutcome] = useState<RollOutcome>();
  const [isWinding, setWinding] = useState(false);
  const worker = useRef<Worker>(undefined);
  const waiting = useRef<Omit<RollQuestion, 'id'>>(undefined);
  const busy = useRef(0);

  useEffect(() => {
    const made = new Worker(new URL('./rollWorker.ts', import.meta.url), { type: 'module' });
    worker.current = made;
    busy.current = 0;
    made.addEventListener('message', ({ data }: MessageEvent<RollAnswer>) => {
      if (data.id !== busy.current) return;
      busy.current = 0;
      setOutcome(data);
      const next = waiting.current;
      waiting.current = undefined;
      if (next === undefined) setWinding(false);
      else ask(made, next);
    });
    return () => made.terminate();
  }, []);

  const count = useRef(0);
  const ask = (to: Worker, question: Omit<RollQuestion, 'id'>): void => {
    count.current++;
    busy.current = count.current;
    setWinding(true);
    to.postMessage({ ...question, id: count.current } satisfies RollQuestion);
  };

  // asked anew when the document or the units change, not when this function is made anew
  useEffect(() => {
    if (document === undefined || worker.current === undefined) return;
    if (busy.current !== 0) waiting.current = { document, units };
    else ask(worker.current, { document, units });
  }, [document, units]);

  return { outcome, isWinding };
}
