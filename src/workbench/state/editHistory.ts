/** Texts of one document as it was edited, for undo and redo. Immutable. */
export interface EditHistory {
  readonly past: readonly Edit[];
  readonly text: string;
  readonly future: readonly Edit[];
}

/** A text that can be gone back to, and what led away from it, in words for the button. */
export interface Edit {
  readonly text: string;
  readonly words: string;
}

/** More steps than anyone goes back. */
const mostSteps = 200;

export const startHistory = (text: string): EditHistory => ({ past: [], text, future: [] });

/** A text after an edit. An edit of the same name right after another, as a key held down gives, is one step with it when `joins`. */
export function edited(history: EditHistory, text: string, words: string, joins = false): EditHistory {
  if (text === history.text) return history;
  if (joins && history.future.length === 0 && history.past.at(-1)?.words === words)
    return { ...history, text };
  return { past: [...history.past, { text: history.text, words }].slice(-mostSteps), text, future: [] };
}

export function undone(history: EditHistory): EditHistory {
  const last = history.past.at(-1);
  if (last === undefined) return history;
  return {
    past: history.past.slice(0, -1),
    text: last.text,
    future: [{ text: history.text, words: last.words }, ...history.future],
  };
}

export function redone(history: EditHistory): EditHistory {
  const [next, ...rest] = history.future;
  if (next === undefined) return history;
  return {
    past: [...history.past, { text: history.text, words: next.words }],
    text: next.text,
    future: rest,
  };
}
