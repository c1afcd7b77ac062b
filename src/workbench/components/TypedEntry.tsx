import { type ReactNode, useEffect, useId, useState } from 'react';

interface Props {
  readonly label: string;
  /** The text of the value in force. */
  readonly shown: string;
  readonly unit?: string;
  readonly note?: string;
  readonly inputMode?: 'decimal';
  /** Takes what was typed, or says why it cannot. */
  readonly take: (text: string) => string | undefined;
}

/** A value that is typed: taken on Enter or on leaving, given back by Escape, and left standing with the reason where it cannot be. */
export function TypedEntry({ label, shown, unit, note, inputMode, take }: Props): ReactNode {
  const id = useId();
  const [text, setText] = useState(shown);
  const [problem, setProblem] = useState<string>();
  useEffect(() => {
    setText(shown);
    setProblem(undefined);
  }, [shown]);
  const leave = (): void => setProblem(text === shown ? undefined : take(text));
  return (
    <div className="entry">
      <label htmlFor={id}>{label}</label>
      <span className="field">
        <input
          id={id}
          type="text"
          {...(inputMode && { inputMode })}
          autoComplete="off"
          value={text}
          aria-invalid={problem !== undefined}
          aria-describedby={problem !== undefined || note !== undefined ? `${id}-note` : undefined}
          onChange={(e) => setText(e.target.value)}
          onBlur={leave}
          onKeyDown={(e) => {
            if (e.key === 'Enter') leave();
            if (e.key === 'Escape') {
              setText(shown);
              setProblem(undefined);
            }
          }}
        />
        {unit !== undefined && <span className="unit">{unit}</span>}
      </span>
      {(problem ?? note) !== undefined && (
        <p id={`${id}-note`} className={problem === undefined ? 'soft note' : 'note wrong'}>
          {problem ?? note}
        </p>
      )}
    </div>
  );
}
