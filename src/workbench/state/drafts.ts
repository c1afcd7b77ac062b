import { type UseQueryOptions, useQuery, useQueryClient } from '@tanstack/react-query';
import { useCallback, useEffect, useState, useSyncExternalStore } from 'react';
import { ApiError, problemOf, putText } from '../api/client.js';
import type { Editable, Problem } from '../api/types.js';
import {
  type Draft,
  isDirty,
  startDraft,
  withDisk,
  withEdit,
  withMine,
  withRedo,
  withSaved,
  withTheirs,
  withUndo,
} from './draft.js';
import { startHistory } from './editHistory.js';

// Drafts outlive the view that shows them; what is not saved also outlives a reload of the page.
const drafts = new Map<string, Draft>();
const listeners = new Set<() => void>();
const storageKey = (path: string): string => `tautline draft ${path}`;

function keep(path: string, draft: Draft): void {
  if (drafts.get(path) === draft) return;
  drafts.set(path, draft);
  try {
    if (isDirty(draft))
      sessionStorage.setItem(
        storageKey(path),
        JSON.stringify({ base: draft.base, text: draft.history.text }),
      );
    else sessionStorage.removeItem(storageKey(path));
  } catch {
    // a full or forbidden store costs the draft only if the page is reloaded
  }
  for (const tell of listeners) tell();
}

function stored(path: string): Draft | undefined {
  try {
    const text = sessionStorage.getItem(storageKey(path));
    if (text === null) return undefined;
    const kept = JSON.parse(text) as { base: Draft['base']; text: string };
    return withEdit({ base: kept.base, history: startHistory(kept.base.text) }, kept.text, 'unsaved change');
  } catch {
    return undefined;
  }
}

const subscribe = (listener: () => void): (() => void) => {
  listeners.add(listener);
  return () => listeners.delete(listener);
};

export interface DraftHandle {
  /** Undefined until the document has come. */
  readonly draft: Draft | undefined;
  readonly isDirty: boolean;
  readonly isSaving: boolean;
  /** Why the last save was refused; nothing was written then. */
  readonly refused: Problem | undefined;
  edit(text: string, words: string, joins?: boolean): void;
  undo(): void;
  redo(): void;
  save(): Promise<void>;
  takeTheirs(): void;
  keepMine(): void;
}

/** A document of the folder with its edits. `path` is its address in the API. */
export function useDraft<T>(
  path: string,
  options: UseQueryOptions<Editable<T>, Error, Editable<T>, string[]>,
): DraftHandle {
  const client = useQueryClient();
  const { data } = useQuery(options);
  const draft = useSyncExternalStore(subscribe, () => drafts.get(path));
  const [isSaving, setSaving] = useState(false);
  const [refused, setRefused] = useState<Problem>();

  useEffect(() => {
    if (data === undefined) return;
    keep(path, withDisk(drafts.get(path) ?? stored(path) ?? startDraft(data), data));
  }, [path, data]);

  const change = useCallback(
    (how: (draft: Draft) => Draft): void => {
      const now = drafts.get(path);
      if (now === undefined) return;
      setRefused(undefined);
      keep(path, how(now));
    },
    [path],
  );

  const save = useCallback(async (): Promise<void> => {
    const now = drafts.get(path);
    if (now === undefined || !isDirty(now) || now.conflict !== undefined) return;
    setSaving(true);
    setRefused(undefined);
    try {
      const saved = await putText<Editable<T>>(path, now.history.text, now.base.version);
      keep(path, withSaved(drafts.get(path) ?? now, saved));
      client.setQueryData(options.queryKey, saved);
    } catch (error) {
      if (error instanceof ApiError && error.status === 409)
        await client.refetchQueries({ queryKey: options.queryKey, exact: true });
      else setRefused(problemOf(error));
    } finally {
      setSaving(false);
    }
  }, [client, path, options.queryKey]);

  return {
    draft,
    isDirty: draft !== undefined && isDirty(draft),
    isSaving,
    refused,
    edit: (text, words, joins) => change((d) => withEdit(d, text, words, joins)),
    undo: () => change(withUndo),
    redo: () => change(withRedo),
    save,
    takeTheirs: () => change(withTheirs),
    keepMine: () => change(withMine),
  };
}
