import { displayUnit } from './convert.js';
import { type QuantityKey, quantity, type UnitSystem } from './quantity.js';

/** Decimal exponent of a number above 0 as it reads after rounding to so many significant digits: 0.9996 with 3 is 1.00, so 0. */
const exponentOf = (size: number, digits: number): number =>
  Number(size.toExponential(digits - 1).split('e')[1]);

/** Decimals up to 20, the typographic minus, and no minus before a number that reads 0. */
const fixed = (value: number, decimals: number): string => {
  const text = value.toFixed(Math.max(0, Math.min(20, decimals)));
  return Number(text) === 0 ? text.replace('-', '') : text.replace('-', '−');
};

/** A number with so many significant digits, plain from 1e-4 to 1e6, else with a power of ten; a dash when it is not finite. */
export function formatNumber(value: number, digits: number): string {
  if (!Number.isFinite(value)) return '–';
  if (value === 0) return '0';
  const size = Math.abs(value);
  if (size >= 1e6 || size < 1e-4)
    return value
      .toExponential(digits - 1)
      .replace('e+', 'e')
      .replaceAll('-', '−');
  return fixed(value, digits - 1 - exponentOf(size, digits));
}

const withUnit = (text: string, label: string): string =>
  label === '' || label === '1' ? text : label === '°' ? `${text}°` : `${text} ${label}`;

/** A value of a quantity (SI) as text with its unit in a system. */
export function formatQuantity(value: number, key: QuantityKey, system: UnitSystem, digits = 3): string {
  const unit = displayUnit(key, system);
  return withUnit(formatNumber(value / unit.factor, digits), unit.label);
}

/**
 * A value with its standard uncertainty, both SI, as "0.0431 ± 0.0003 kg·m²": the uncertainty with one significant digit (two
 * when it begins with 1 or 2) and the value to the same place. Four digits when there is no usable uncertainty.
 */
export function formatEstimate(
  value: number,
  standardError: number,
  key: QuantityKey,
  system: UnitSystem,
): string {
  const { factor, label } = displayUnit(key, system);
  return withUnit(estimateText(value / factor, standardError / factor), label);
}

/**
 * A number with its uncertainty in the same unit, by the rule of {@link formatEstimate}: "0.0431 ± 0.0003".
 * Not a relation [1]. Source: definition.
 */
export function estimateText(v: number, u: number): string {
  if (!Number.isFinite(v) || !(u > 0) || !Number.isFinite(u)) return formatNumber(v, 4);
  const lead = Math.floor(Math.log10(u));
  const place = u / 10 ** lead < 3 ? lead - 1 : lead;
  const size = Math.max(Math.abs(v), u);
  if (size >= 1e6 || size < 1e-3) {
    const exponent = Math.floor(Math.log10(size));
    const scale = 10 ** exponent;
    const pair = `${fixed(v / scale, exponent - place)} ± ${fixed(u / scale, exponent - place)}`;
    return `(${pair})·10^${exponent}`;
  }
  // Above the units place the digits that mean nothing are zeros.
  const grain = place > 0 ? 10 ** place : 1;
  const rounded = (x: number): string => fixed(Math.round(x / grain) * grain, 0);
  return place > 0 ? `${rounded(v)} ± ${rounded(u)}` : `${fixed(v, -place)} ± ${fixed(u, -place)}`;
}

/** Axis label: quantity, symbol and unit, as "torque T [N·m]". */
export function axisLabel(key: QuantityKey, system: UnitSystem): string {
  const { label, symbol } = quantity(key);
  const unit = displayUnit(key, system).label;
  return [label, symbol, unit === '' ? '' : `[${unit}]`].filter((s) => s !== '').join(' ');
}
