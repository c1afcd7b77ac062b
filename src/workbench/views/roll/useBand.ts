import { useEffect, useRef, useState } from 'react';
import type { RollBand } from '../../../engine/program/roll/rollBand.js';
import type { RollDocument } from '../../../engine/project/roll/rollDocument.js';
import type { UnitSystem } from '../../../engine/units/quantity.js';
import type { RollAnswer, RollQuestion } from './rollWorker.js';
import { newRollWorker } from './useRollPrediction.js';

export type BandState =
  | { readonly state: 'none' }
  | { readonly state: 'running'; readonly done: number; readonly of: number }
  | { readonly state: 'done'; readonly band: RollBand };

/** Rolls of a band: as many as the command winds by default. */
const rolls = 200;

/** The band of a roll, wound beside the page on demand. It belongs to the document that it was asked for, and goes when that changes. */
export function useBand(
  document: RollDocument,
  units: UnitSystem,
): { readonly band: BandState; start(): void; drop(): void } {
  const [band, setBand] = useState<BandState>({ state: 'none' });
  const worker = useRef<Worker>(undefined);
  const drop = (): void => {
    worker.current?.terminate();
    worker.current = undefined;
    setBand({ state: 'none' });
  };
  const latestDrop = useRef(drop);
  latestDrop.current = drop;
  // dropped when the document changes
  useEffect(() => () => latestDrop.current(), [document]);
  return {
    band,
    drop,
    start: () => {
      drop();
      const made = newRollWorker();
      worker.current = made;
      setBand({ state: 'running', done: 0, of: rolls });
      made.addEventListener('message', ({ data }: MessageEvent<RollAnswer>) => {
        if (data.kind === 'step') setBand({ state: 'running', done: data.step, of: data.of });
        else if (data.kind === 'band') setBand({ state: 'done', band: data.band });
        else if (data.kind === 'problem') drop();
      });
      made.postMessage({ id: 1, kind: 'band', document, rolls, units } satisfies RollQuestion);
    },
  };
}
