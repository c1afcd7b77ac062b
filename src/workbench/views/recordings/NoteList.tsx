import { type ReactNode, useEffect, useRef, useState } from 'react';
import { type AnnotatedStretch, stretchBounds } from '../../../engine/project/annotations.js';
import { ProblemBox } from '../../components/FindingItem.js';
import type { TimeWindow } from '../../components/trend/held.js';
import type { TrendStretch } from '../../components/trend/stretches.js';
import { decimalsFor } from '../../components/trend/window.js';
import type { Annotations } from './useAnnotations.js';

interface Props {
  readonly annotations: Annotations;
  readonly axis: 's' | 'row';
  /** A stretch that was marked and waits for its words. */
  readonly marked: TimeWindow | undefined;
  readonly onMarked: (marked: TimeWindow | undefined) => void;
  readonly lit: string | undefined;
  readonly onLight: (id: string | undefined) => void;
  /** Shows a stretch. */
  readonly onGo: (window: TimeWindow) => void;
}

export const noteId = (index: number): string => `note ${index + 1}`;

/** Notes as stretches of the trend; those of another axis than the recording now has are left out. */
export const noteStretches = (stretches: readonly AnnotatedStretch[], axis: 's' | 'row'): TrendStretch[] =>
  stretches.flatMap((s, k) => {
    const bounds = stretchBounds(s, k);
    return bounds.axis !== axis
      ? []
      : [
          {
            id: noteId(k),
            from: bounds.from,
            to: bounds.to,
            tone: 'note' as const,
            letter: String(k + 1),
            title: `Note ${k + 1}, ${rangeText(bounds, axis)}: ${s.text}`,
          },
        ];
  });

/** Ends of a stretch with as many digits as its length needs. */
function rangeText({ from, to }: TimeWindow, axis: 's' | 'row'): string {
  const decimals = axis === 'row' ? 0 : decimalsFor((to - from) / 50);
  const text = `${from.toFixed(decimals)} to ${to.toFixed(decimals)}`.replaceAll('-', '−');
  return axis === 's' ? `${text} s` : `rows ${text}`;
}

/** What was noted of the recording, and the words for a stretch that was just marked. */
export function NoteList(props: Props): ReactNode {
  const { annotations, axis, marked, onMarked, lit, onLight, onGo } = props;
  const { stretches, problem, save } = annotations;
  const add = async (text: string): Promise<void> => {
    if (marked === undefined) return;
    const ends =
      axis === 's' ? { from_s: marked.from, to_s: marked.to } : { from_row: marked.from, to_row: marked.to };
    const noted = new Date().toLocaleDateString('sv');
    if (await save([...stretches, { ...ends, text, noted }])) onMarked(undefined);
  };
  return (
    <section aria-labelledby="notes-title">
      <div className="row">
        <h2 id="notes-title">Notes</h2>
        <button
          type="button"
          className="quiet"
          disabled={!annotations.canUndo}
          onClick={() => void annotations.undo()}
        >
          Undo
        </button>
        <button
          type="button"
          className="quiet"
          disabled={!annotations.canRedo}
          onClick={() => void annotations.redo()}
        >
          Redo
        </button>
      </div>
      {problem && <ProblemBox problem={problem} />}
      <ul className="note-list">
        {marked && (
          <li className="lit">
            <span>{rangeText(marked, axis)}</span>
            <NoteEntry text="" label="What was seen there" isNew onTake={add} />
            <button type="button" className="quiet" onClick={() => onMarked(undefined)}>
              Leave it
            </button>
          </li>
        )}
        {stretches.map((s, k) => {
          const bounds = stretchBounds(s, k);
          return (
            <li
              key={`${k} ${s.text}`}
              className={lit === noteId(k) ? 'lit' : undefined}
              onPointerEnter={() => onLight(noteId(k))}
              onPointerLeave={() => onLight(undefined)}
            >
              <button
                type="button"
                className="range"
                title="Show it in the trend"
                onClick={() => onGo(bounds)}
              >
                {k + 1}: {rangeText(bounds, bounds.axis)}
              </button>
              <NoteEntry
                text={s.text}
                label={`Note ${k + 1}`}
                onTake={async (text) => {
                  await save(stretches.map((other, n) => (n === k ? { ...other, text } : other)));
                }}
              />
              <button
                type="button"
                className="quiet"
                aria-label={`Take out note ${k + 1}`}
                onClick={() => void save(stretches.filter((_, n) => n !== k))}
              >
                Take out
              </button>
            </li>
          );
        })}
      </ul>
      {stretches.length === 0 && marked === undefined && (
        <p className="soft">
          Nothing noted. Mark a stretch in the trend, with the button or Shift and drag, and say what was seen
          there.
        </p>
      )}
    </section>
  );
}

/** Words of a note: taken on Enter or on leaving, given back by Escape. */
function NoteEntry({
  text: stated,
  label,
  isNew = false,
  onTake,
}: {
  readonly text: string;
  readonly label: string;
  readonly isNew?: boolean;
  readonly onTake: (text: string) => Promise<void>;
}): ReactNode {
  const [text, setText] = useState(stated);
  const input = useRef<HTMLInputElement>(null);
  useEffect(() => {
    if (isNew) input.current?.focus();
  }, [isNew]);
  const take = (): void => {
    const words = text.trim();
    if (words === stated) return;
    // an empty note would say nothing: it is taken out by its button
    if (words === '') setText(stated);
    else void onTake(words);
  };
  return (
    <input
      ref={input}
      type="text"
      aria-label={label}
      placeholder={isNew ? label : undefined}
      autoComplete="off"
      maxLength={2000}
      value={text}
      onChange={(e) => setText(e.target.value)}
      onBlur={isNew ? undefined : take}
      onKeyDown={(e) => {
        if (e.key === 'Enter') take();
        if (e.key === 'Escape') setText(stated);
      }}
    />
  );
}
