import { type EditHistory, edited, redone, startHistory, undone } from './editHistory.js';

/** A document that is being edited in this window, against what is on disk. Immutable. */
export interface Draft {
  /** What was last read from disk or written there by this window. */
  readonly base: Version;
  readonly history: EditHistory;
  /** What is on disk now, when it changed while there was something unsaved here. Nothing is written until the person chose. */
  readonly conflict?: Version;
}

export interface Version {
  readonly text: string;
  readonly version: string;
}

export const startDraft = (disk: Version): Draft => ({ base: disk, history: startHistory(disk.text) });

export const isDirty = ({ base, history }: Draft): boolean => history.text !== base.text;

export const withEdit = (draft: Draft, text: string, words: string, joins = false): Draft => ({
  ...draft,
  history: edited(draft.history, text, words, joins),
});
export const withUndo = (draft: Draft): Draft => ({ ...draft, history: undone(draft.history) });
export const withRedo = (draft: Draft): Draft => ({ ...draft, history: redone(draft.history) });

/** What another window or program wrote: shown at once when nothing here is unsaved, else a conflict. */
export function withDisk(draft: Draft, disk: Version): Draft {
  if (disk.version === draft.base.version) {
    if (draft.conflict === undefined) return draft;
    const { conflict: _, ...rest } = draft;
    return rest;
  }
  // both came to the same text: there is nothing to choose
  if (disk.text === draft.history.text) return { base: disk, history: draft.history };
  if (!isDirty(draft))
    return { base: disk, history: edited(draft.history, disk.text, 'change made outside') };
  return { ...draft, conflict: disk };
}

/** After a save of `saved.text`; what was edited while it was under way stays. */
export const withSaved = (draft: Draft, saved: Version): Draft => ({ base: saved, history: draft.history });

/** Own edits dropped for what is on disk; undo brings them back. */
export const withTheirs = (draft: Draft): Draft =>
  draft.conflict === undefined
    ? draft
    : { base: draft.conflict, history: edited(draft.history, draft.conflict.text, 'version on disk taken') };

/** Own edits kept: the next save replaces what is on disk now. */
export const withMine = (draft: Draft): Draft =>
  draft.conflict === undefined ? draft : { base: draft.conflict, history: draft.history };
