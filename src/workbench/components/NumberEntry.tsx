import type { ReactNode } from 'react';
import type { QuantityKey } from '../../engine/units/quantity.js';
import { readNumber, writeNumber } from '../state/numberEntry.js';
import { useUnits } from '../state/units.js';
import { TypedEntry } from './TypedEntry.js';

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

/** An exact value, typed in the unit shown, with either decimal sign. */
export function NumberEntry({ label, value, quantity, onChange, refuse, note }: Props): ReactNode {
  const units = useUnits();
  const unit = quantity === undefined ? undefined : units.unit(quantity);
  return (
    <TypedEntry
      label={label}
      shown={value === undefined ? '' : writeNumber(value / (unit?.factor ?? 1), units.style)}
      {...(unit && unit.label !== '1' && { unit: unit.label })}
      {...(note !== undefined && { note })}
      inputMode="decimal"
      take={(text) => {
        const number = readNumber(text, units.style);
        if (number === undefined) return `“${text}” is no number that can be read without guessing`;
        const si = number * (unit?.factor ?? 1);
        const why = refuse?.(si);
        if (why === undefined) onChange(si);
        return why;
      }}
    />
  );
}
