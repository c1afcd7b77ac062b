import { useEffect, useRef, useState } from 'react';
import type { DesignedSchedule } from '../../../engine/program/roll/design/designSchedule.js';
import type { DesignTarget } from '../../../engine/program/roll/design/designTarget.js';
import type { LineLimits } from '../../../engine/program/roll/lineLimits/lineLimits.js';
import type { RollBand } from '../../../engine/program/roll/rollBand.js';
import type { RollDocument } from '../../../engine/project/roll/rollDocument.js';
import type { UnitSystem } from '../../../engine/units/quantity.js';
import type { Problem } from '../../api/types.js';
import type { RollAnswer, RollQuestion } from './rollWorker.js';
import { newRollWorker } from './useRollPrediction.js';

export type DesignState =
  | { readonly state: 'none' }
  | { readonly state: 'running'; readonly step: number; readonly of: number }
  | {
      readonly state: 'done';
      readonly design: DesignedSchedule;
      readonly target: DesignTarget;
      /** Comes a moment later. */
      readonly band?: RollBand;
    }
  | { readonly state: 'failed'; readonly problem: Problem };

/** Designs a schedule in a worker of its own, so that it can be ended at any moment. */
export function useDesign(): {
  readonly design: DesignState;
  start(document: RollDocument, target: DesignTarget, units: UnitSystem, line?: LineLimits): void;
  cancel(): void;
} {
  const [design, setDesign] = useState<DesignState>({ state: 'none' });
  const worker = useRef<Worker>(undefined);
  const end = (): void => {
    worker.current?.terminate();
    worker.current = undefined;
  };
  useEffect(() => end, []);
  return {
    design,
    start: (document, target, units, line) => {
      end();
      const made = newRollWorker();
      worker.current = made;
      setDesign({ state: 'running', step: 0, of: 1 });
      made.addEventListener('message', ({ data }: MessageEvent<RollAnswer>) => {
        if (data.kind === 'step') setDesign({ state: 'running', step: data.step, of: data.of });
        else if (data.kind === 'design') setDesign({ state: 'done', design: data.design, target });
        else if (data.kind === 'band') setDesign((d) => (d.state === 'done' ? { ...d, band: data.band } : d));
        else if (data.kind === 'problem') setDesign({ state: 'failed', problem: data.problem });
        if (data.kind === 'band' || data.kind === 'problem') end();
      });
      made.postMessage({
        id: 1,
        kind: 'design',
        document,
        target,
        units,
        ...(line && { line }),
      } satisfies RollQuestion);
    },
    cancel: () => {
      end();
      setDesign({ state: 'none' });
    },
  };
}
