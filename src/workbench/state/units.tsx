import { createContext, type ReactNode, useCallback, useContext, useMemo, useState } from 'react';
import { type Format, roundedAlike, shortNumber } from '../../engine/report/format.js';
import { displayUnit } from '../../engine/units/convert.js';
import {
  type QuantityKey,
  quantity,
  type Unit,
  type UnitSystem,
  unitById,
} from '../../engine/units/quantity.js';
import { type NumberStyle, numberStyle } from './numberEntry.js';

/** In which units numbers are shown: a system, and other units for single quantities. */
export interface UnitChoice {
  readonly system: UnitSystem;
  readonly own: Partial<Record<QuantityKey, string>>;
}

export interface Units {
  readonly choice: UnitChoice;
  readonly system: UnitSystem;
  readonly style: NumberStyle;
  unit(key: QuantityKey): Unit;
  /** Value in the unit shown. */
  value(key: QuantityKey, si: number): number;
  /** Four significant digits at most, without unit. */
  number(key: QuantityKey, si: number): string;
  withUnit(key: QuantityKey, si: number): string;
  /** A value and the half width of its interval, as many digits as that allows. */
  pair(
    key: QuantityKey,
    si: number,
    halfWidth: number | undefined,
  ): { value: string; halfWidth?: string; unit: string };
  setSystem(system: UnitSystem): void;
  setUnit(key: QuantityKey, id: string | undefined): void;
}

const storageKey = 'tautline units';

export function storedChoice(): UnitChoice {
  try {
    const kept = JSON.parse(localStorage.getItem(storageKey) ?? '{}') as Partial<UnitChoice>;
    return { system: kept.system === 'us' ? 'us' : 'si', own: kept.own ?? {} };
  } catch {
    return { system: 'si', own: {} };
  }
}

/** The unit that a choice shows a quantity in. */
export function chosenUnit({ system, own }: UnitChoice, key: QuantityKey): Unit {
  const id = own[key];
  return (id === undefined ? undefined : unitById(key, id)) ?? displayUnit(key, system);
}

const Context = createContext<Units | undefined>(undefined);

export function UnitsProvider({ children }: { readonly children: ReactNode }): ReactNode {
  const [choice, setChoice] = useState(storedChoice);
  const change = useCallback((next: UnitChoice): void => {
    setChoice(next);
    localStorage.setItem(storageKey, JSON.stringify(next));
  }, []);
  const units = useMemo((): Units => {
    const style = numberStyle(undefined);
    const local = (text: string): string => (style.decimal === ',' ? text.replace('.', ',') : text);
    const unit = (key: QuantityKey): Unit => chosenUnit(choice, key);
    const value = (key: QuantityKey, si: number): number => si / unit(key).factor;
    const number = (key: QuantityKey, si: number): string => local(shortNumber(value(key, si)));
    return {
      choice,
      system: choice.system,
      style,
      unit,
      value,
      number,
      withUnit: (key, si) => `${number(key, si)} ${unit(key).label}`.trim(),
      pair: (key, si, halfWidth) => {
        const u = halfWidth === undefined ? Number.NaN : value(key, halfWidth);
        const { texts, exponent } = roundedAlike([value(key, si), u], u);
        const label = unit(key).label;
        const [text = '', half = ''] = texts;
        return {
          value: local(Number.isFinite(u) ? text : shortNumber(value(key, si))),
          ...(Number.isFinite(u) && u > 0 && { halfWidth: local(half) }),
          unit: exponent === 0 ? label : `10^${exponent} ${label}`,
        };
      },
      setSystem: (system) => change({ system, own: {} }),
      setUnit: (key, id) => {
        const { [key]: _, ...own } = choice.own;
        change({ ...choice, own: id === undefined ? own : { ...own, [key]: id } });
      },
    };
  }, [choice, change]);
  return <Context.Provider value={units}>{children}</Context.Provider>;
}

export function useUnits(): Units {
  const units = useContext(Context);
  if (units === undefined) throw new Error('units are used outside their provider');
  return units;
}

/** Quantities whose unit a person may want to choose apart from the system. */
export const choosable: readonly QuantityKey[] = [
  'length',
  'webLength',
  'speed',
  'angularSpeed',
  'torque',
  'inertia',
  'tension',
  'tensionPerWidth',
  'power',
];

/** Units that are offered for a quantity: those of the system, then the others. */
export const offered = (key: QuantityKey): readonly Unit[] => quantity(key).units;

/** The units shown as the figures of the engine ask for them. */
export const axisFormat = (units: Units): Pick<Format, 'samples' | 'axis'> => ({
  samples: (key, si) => Float64Array.from(si, (v) => units.value(key, v)),
  axis: (what, symbol, key) => `${what}, ${symbol} [${units.unit(key).label}]`,
});
