import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import {
  type AnnotatedStretch,
  type AnnotationsDocument,
  annotationsText,
} from '../../../engine/project/annotations.js';
import { ApiError, problemOf, putText } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import type { MaybeEditable, Problem } from '../../api/types.js';

/** What was taken back can be done again; kept while the page is open. */
interface Past {
  readonly undo: readonly (readonly AnnotatedStretch[])[];
  readonly redo: readonly (readonly AnnotatedStretch[])[];
}
const pasts = new Map<string, Past>();

export interface Annotations {
  readonly stretches: readonly AnnotatedStretch[];
  /** Why they cannot be read or were not saved; nothing was written then. */
  readonly problem: Problem | undefined;
  /** False while what is on disk cannot be read: writing would lose it. */
  readonly canEdit: boolean;
  readonly canUndo: boolean;
  readonly canRedo: boolean;
  save(next: readonly AnnotatedStretch[]): Promise<boolean>;
  undo(): Promise<void>;
  redo(): Promise<void>;
}

const none: readonly AnnotatedStretch[] = [];

/** The notes beside a recording, written to disk at each change, with undo. */
export function useAnnotations(recording: string): Annotations {
  const client = useQueryClient();
  const options = queries.annotations(recording);
  const { data, error } = useQuery(options);
  const [refused, setRefused] = useState<Problem>();
  const stretches = data?.document?.stretches ?? none;
  const past = pasts.get(recording) ?? { undo: [], redo: [] };

  const write = async (next: readonly AnnotatedStretch[], then: Past): Promise<boolean> => {
    setRefused(undefined);
    try {
      const saved = await putText<MaybeEditable<AnnotationsDocument>>(
        `/api/recordings/${encodeURIComponent(recording)}/annotations`,
        annotationsText(next),
        data?.version,
      );
      pasts.set(recording, then);
      client.setQueryData(options.queryKey, saved);
      return true;
    } catch (e) {
      setRefused(problemOf(e));
      // what somebody else wrote is shown before anything is repeated on it
      if (e instanceof ApiError && e.status === 409)
        await client.refetchQueries({ queryKey: options.queryKey, exact: true });
      return false;
    }
  };
  const step = async (from: 'undo' | 'redo', to: 'undo' | 'redo'): Promise<void> => {
    const back = past[from].at(-1);
    if (back === undefined) return;
    await write(back, { [from]: past[from].slice(0, -1), [to]: [...past[to], stretches] } as unknown as Past);
  };
  return {
    stretches,
    problem: refused ?? (error ? problemOf(error) : data?.error),
    canEdit: data !== undefined && data.error === undefined,
    canUndo: past.undo.length > 0,
    canRedo: past.redo.length > 0,
    save: (next) => write(next, { undo: [...past.undo.slice(-49), stretches], redo: [] }),
    undo: () => step('undo', 'redo'),
    redo: () => step('redo', 'undo'),
  };
}
