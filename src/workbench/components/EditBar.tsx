import { type ReactNode, useEffect } from 'react';
import type { DraftHandle } from '../state/drafts.js';
import { ProblemBox } from './FindingItem.js';
import { Sign } from './Sign.js';

/** Undo, redo and save of a document, by buttons and keys. */
export function EditButtons({ handle }: { readonly handle: DraftHandle }): ReactNode {
  const { draft, isDirty, isSaving, undo, redo, save } = handle;
  useEffect(() => {
    const onKey = (e: KeyboardEvent): void => {
      if (!(e.ctrlKey || e.metaKey) || e.altKey) return;
      const key = e.key.toLowerCase();
      const isTyping = e.target instanceof HTMLInputElement && e.target.type === 'text';
      if (key === 's') {
        e.preventDefault();
        void save();
      } else if (!isTyping && (key === 'y' || (key === 'z' && e.shiftKey))) {
        e.preventDefault();
        redo();
      } else if (!isTyping && key === 'z') {
        e.preventDefault();
        undo();
      }
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  });
  const last = draft?.history.past.at(-1)?.words;
  const next = draft?.history.future[0]?.words;
  return (
    <>
      <button
        type="button"
        disabled={last === undefined}
        onClick={undo}
        title={`Undo: ${last ?? 'nothing'} (Ctrl+Z)`}
      >
        Undo
      </button>
      <button
        type="button"
        disabled={next === undefined}
        onClick={redo}
        title={`Redo: ${next ?? 'nothing'} (Ctrl+Y)`}
      >
        Redo
      </button>
      <button
        type="button"
        className="strong"
        disabled={!isDirty || isSaving || draft?.conflict !== undefined}
        onClick={() => void save()}
        title="Save (Ctrl+S)"
      >
        Save
      </button>
      <p className="state" role="status">
        {isSaving ? 'Saving …' : isDirty ? `Not saved${last === undefined ? '' : `: ${last}`}` : 'As on disk'}
      </p>
    </>
  );
}

/** What stands between the edits and the disk: a change from outside, or why a save was refused. */
export function EditNotices({
  handle,
  file,
}: {
  readonly handle: DraftHandle;
  readonly file: string;
}): ReactNode {
  const { draft, refused, takeTheirs, keepMine } = handle;
  return (
    <>
      {refused && (
        <ProblemBox problem={refused}>
          <p>Nothing was written.</p>
        </ProblemBox>
      )}
      {draft?.conflict && (
        <div className="notice" role="alert">
          <Sign kind="warn" />
          <div>
            <p>
              {file} was changed by something else while it was edited here. Nothing was overwritten:{' '}
              {changedLines(draft.conflict.text, draft.base.text)} there,{' '}
              {changedLines(draft.history.text, draft.base.text)} here.
            </p>
            <div className="row">
              <button type="button" onClick={takeTheirs}>
                Take the version on disk
              </button>
              <button type="button" onClick={keepMine}>
                Keep what is here
              </button>
              <span className="soft">Nothing is written before you save.</span>
            </div>
          </div>
        </div>
      )}
    </>
  );
}

/** Lines that are in one text and not in the other, in words. */
export function changedLines(text: string, base: string): string {
  const known = new Map<string, number>();
  for (const line of base.split('\n')) known.set(line, (known.get(line) ?? 0) + 1);
  let count = 0;
  for (const line of text.split('\n')) {
    const left = known.get(line) ?? 0;
    if (left === 0) count++;
    else known.set(line, left - 1);
  }
  return `${count} ${count === 1 ? 'line' : 'lines'} changed`;
}
