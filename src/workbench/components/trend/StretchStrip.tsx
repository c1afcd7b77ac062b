import { type KeyboardEvent, type ReactNode, useState } from 'react';
import type { TrendStretch } from './stretches.js';

interface Props {
  readonly stretches: readonly TrendStretch[];
  readonly lit: string | undefined;
  /** Where the painter finds what it has to move. */
  readonly elements: Map<string, HTMLElement>;
  readonly onLight: ((id: string | undefined) => void) | undefined;
  readonly onPick: ((id: string) => void) | undefined;
}

/** The stretches of a recording as a strip above its lanes. One tab stop; arrow keys go from stretch to stretch. */
export function StretchStrip({ stretches, lit, elements, onLight, onPick }: Props): ReactNode {
  const [stop, setStop] = useState<string>();
  const stopId = stretches.some((s) => s.id === stop) ? stop : stretches[0]?.id;
  const onKeyDown = (e: KeyboardEvent): void => {
    const at = stretches.findIndex((s) => s.id === stopId);
    const to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: stretches.length - 1 }[e.key];
    const next = to === undefined ? undefined : stretches[to];
    if (next === undefined) return;
    e.preventDefault();
    setStop(next.id);
    const element = elements.get(next.id);
    // what the window does not show cannot have the focus
    if (element && element.style.display !== 'none') element.focus();
  };
  return (
    <div className="trend-strip" role="group" aria-label="Stretches" onKeyDown={onKeyDown}>
      {stretches.map((s) => (
        <button
          key={s.id}
          ref={(element) => {
            if (element) elements.set(s.id, element);
            else elements.delete(s.id);
          }}
          type="button"
          className={`stretch ${s.tone}${s.isHatched ? ' hatched' : ''}${s.id === lit || s.isSelected ? ' lit' : ''}`}
          tabIndex={s.id === stopId ? 0 : -1}
          title={s.title}
          aria-label={s.title}
          {...(s.isSelected !== undefined && { 'aria-pressed': s.isSelected })}
          onPointerEnter={() => onLight?.(s.id)}
          onPointerLeave={() => onLight?.(undefined)}
          onFocus={() => {
            setStop(s.id);
            onLight?.(s.id);
          }}
          onBlur={() => onLight?.(undefined)}
          onClick={() => onPick?.(s.id)}
        >
          <span aria-hidden="true">{s.letter}</span>
        </button>
      ))}
    </div>
  );
}
