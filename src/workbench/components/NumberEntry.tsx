import { type ReactNode, useEffect, useId, useState } from 'react';
import type { QuantityKey } from '../../engine/units/quantity.js';
import { readNumber, writeNumber } from '../state/numberEntry.js';
import { useUnits } from '../state/units.js';

interface Props {
  readonly label: string;
  /** SI; undefined while it is not stated. */
  readonly value: number | undefined;
  /** Left out for a pure number. */
  readonly quantity?: QuantityKey;
  readonly onChange: (si: number) => void;
  /** Why a number cannot be, or undefined. */
  readonly refuse?: (si: number) => string | undefined;
  readonly note?: string;
}

/** An exact value: typed in the unit shown, with either decimal sign, taken on Enter or on leaving, given back by Escape. */
export function NumberEntry({ label, value, quantity, onChange, refuse, note }: Props): ReactNode {
  const units = useUnits();
  const id = useId();
  const unit = quantity === undefined ? undefined : units.unit(quantity);
  const shown = value === undefined ? '' : writeNumber(value / (unit?.factor ?? 1), units.style);
  const [text, setText] = useState(shown);
  const [problem, setProblem] = useState<string>();
  useEffect(() => {
    setText(shown);
    setProblem(undefined);
  }, [shown]);

  const take = (): void => {
    if (text === shown) {
      setProblem(undefined);
      return;
    }
    const number = readNumber(text, units.style);
    if (number === undefined) {
      setProblem(`“${text}” is no number that can be read without guessing`);
      return;
    }
    const si = number * (unit?.factor ?? 1);
    const why = refuse?.(si);
    setProblem(why);
    if (why === undefined) onChange(si);
  };
  return (
    <div className="entry">
      <label htmlFor={id}>{label}</label>
      <span className="field">
        <input
          id={id}
          type="text"
          inputMode="decimal"
          autoComplete="off"
          value={text}
          aria-invalid={problem !== undefined}
          aria-describedby={problem !== undefined || note !== undefined ? `${id}-note` : undefined}
          onChange={(e) => setText(e.target.value)}
          onBlur={take}
          onKeyDown={(e) => {
            if (e.key === 'Enter') take();
            if (e.key === 'Escape') {
              setText(shown);
              setProblem(undefined);
            }
          }}
        />
        {unit && unit.label !== '1' && <span className="unit">{unit.label}</span>}
      </span>
      {(problem ?? note) !== undefined && (
        <p id={`${id}-note`} className={problem === undefined ? 'soft note' : 'note wrong'}>
          {problem ?? note}
        </p>
      )}
    </div>
  );
}
