import { displayUnit } from '../units/convert.js';
import { estimateText, formatNumber } from '../units/format.js';
import type { QuantityKey, Unit, UnitSystem } from '../units/quantity.js';
import type { Samples } from './svg/decimate.js';

/** Formatting of SI values in the units of one report. Nothing here changes a result: it converts and rounds. */
export interface Format {
  readonly system: UnitSystem;
  /** SI value as a number in the display unit. */
  value(key: QuantityKey, si: number): number;
  samples(key: QuantityKey, si: Samples): Float64Array;
  unit(key: QuantityKey): string;
  /** Axis label with the side named: "Torque at motor, T [N·m]". */
  axis(what: string, symbol: string, key: QuantityKey): string;
  /** Four significant digits at most; for typed values and places on an axis, which carry no uncertainty. */
  number(key: QuantityKey, si: number): string;
  withUnit(key: QuantityKey, si: number): string;
  /** A column of numbers with equal decimals, so that the largest has `digits` significant ones. NaN is a dash. */
  column(key: QuantityKey, si: readonly number[], digits: number): string[];
  /** "value ± uncertainty" without unit, as many digits as the uncertainty allows. */
  pair(key: QuantityKey, si: number, uncertainty: number): string;
  /** Several numbers of one quantity rounded to the place of an uncertainty, and the unit they stand in. */
  row(
    key: QuantityKey,
    si: readonly number[],
    uncertainty: number,
  ): { readonly texts: readonly string[]; readonly unit: string };
}

/** How the report writes numbers and labels in one unit system. @param unitOf another choice of unit for a quantity */
export function makeFormat(
  system: UnitSystem,
  unitOf: (key: QuantityKey) => Unit = (key) => displayUnit(key, system),
): Format {
  const factor = (key: QuantityKey): number => unitOf(key).factor;
  const unit = (key: QuantityKey): string => unitOf(key).label;
  const value = (key: QuantityKey, si: number): number => si / factor(key);
  const number = (key: QuantityKey, si: number): string => shortNumber(value(key, si));
  return {
    system,
    value,
    unit,
    number,
    samples: (key, si) => Float64Array.from(si, (v) => value(key, v)),
    axis: (what, symbol, key) => `${what}, ${symbol} [${unit(key)}]`,
    withUnit: (key, si) => `${number(key, si)} ${unit(key)}`.trim(),
    column: (key, si, digits) => {
      const shown = si.map((v) => value(key, v));
      const largest = Math.max(...shown.filter(Number.isFinite).map(Math.abs));
      const place = largest > 0 ? Math.floor(Math.log10(largest)) : 0;
      const decimals = Math.max(0, Math.min(20, digits - 1 - place));
      return shown.map((v) => (Number.isFinite(v) ? v.toFixed(decimals).replace('-', '−') : '–'));
    },
    pair: (key, si, uncertainty) => raisePowers(estimateText(value(key, si), value(key, uncertainty))),
    row: (key, si, uncertainty) => {
      const shown = si.map((v) => value(key, v));
      const { texts, exponent } = roundedAlike(shown, value(key, uncertainty));
      return { texts, unit: exponent === 0 ? unit(key) : raisePowers(`10^${exponent} ${unit(key)}`) };
    },
  };
}

/** At most four significant digits and no zeros that mean nothing: 15.5, 2200, 0.0043. */
export function shortNumber(value: number): string {
  const text = formatNumber(value, 4);
  return /^−?\d+\.\d+$/.test(text) ? text.replace(/\.?0+$/, '') : text;
}

/**
 * Numbers rounded to the place that the uncertainty allows, by the rule of formatEstimate: one significant digit of the
 * uncertainty, two when it begins with 1 or 2. Where the largest is below 0.001 a power of ten is taken out of all.
 * Without a usable uncertainty each has four significant digits.
 */
export function roundedAlike(
  values: readonly number[],
  uncertainty: number,
): { readonly texts: readonly string[]; readonly exponent: number } {
  if (!(uncertainty > 0 && Number.isFinite(uncertainty))) {
    return { texts: values.map((v) => formatNumber(v, 4)), exponent: 0 };
  }
  const largest = Math.max(uncertainty, ...values.filter(Number.isFinite).map(Math.abs));
  const exponent = largest < 1e-3 ? 3 * Math.floor(Math.log10(largest) / 3) : 0;
  const scale = 10 ** exponent;
  const u = uncertainty / scale;
  const place = Math.floor(Math.log10(u));
  const digits = u / 10 ** place < 3 ? 2 : 1;
  const decimals = Math.max(0, Math.min(20, digits - 1 - place));
  const text = (v: number): string =>
    Number.isFinite(v) ? (v / scale).toFixed(decimals).replace('-', '−') : '–';
  return { texts: values.map(text), exponent };
}

const superscripts: Readonly<Record<string, string>> = Object.fromEntries(
  [...'-−0123456789'].map((c, i) => [c, [...'⁻⁻⁰¹²³⁴⁵⁶⁷⁸⁹'][i] as string]),
);

/** "10^-6" as "10⁻⁶". */
const raisePowers = (text: string): string =>
  text.replace(/10\^([-−]?\d+)/g, (_, e: string) => `10${[...e].map((c) => superscripts[c] ?? c).join('')}`);
