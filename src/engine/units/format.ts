import { displayUnit } from './convert.js';
import { type QuantityKey, quantity, type UnitSystem } from './quantity.js';

/** A finite number with so many significant digits, plain between 1e-3 and 1e6, else with a power of ten. */
export function formatNumber(value: number, digits: number): string {
  if (!Number.isFinite(value)) return '–';
  if (value === 0) return '0';
  const size = Math.abs(value);
  if (size >= 1e6 || size < 1e-4)
    return value
      .toExponential(Math.max(0, digits - 1))
      .replace('e+', 'e')
      .replace('-', '−');
  const decimals = Math.max(0, digits - 1 - Math.floor(Math.log10(size)));
  return value.toFixed(Math.min(20, decimals)).replace('-', '−');
}

const withUnit = (text: string, label: string): string => (label === '' ? text : `${text} ${label}`);

/** A value of a quantity (SI) as text with its unit in a system. */
export function formatQuantity(value: number, key: QuantityKey, system: UnitSystem, digits = 3): string {
  const unit = displayUnit(key, system);
  return withUnit(formatNumber(value / unit.factor, digits), unit.label);
}

/**
 * A value with its standard uncertainty, both SI, as "0.0431 ± 0.0003 kg·m²": the uncertainty with one or two significant
 * digits (two when it begins with 1 or 2) and the value to the same place.
 */
export function formatEstimate(
  value: number,
  standardError: number,
  key: QuantityKey,
  system: UnitSystem,
): string {
  const unit = displayUnit(key, system);
  const v = value / unit.factor;
  const u = standardError / unit.factor;
  if (!(u > 0) || !Number.isFinite(u)) return withUnit(formatNumber(v, 4), unit.label);
  const lead = u / 10 ** Math.floor(Math.log10(u));
  const uncertaintyDigits = lead < 3 ? 2 : 1;
  const place = Math.floor(Math.log10(u)) - uncertaintyDigits + 1;
  const size = Math.max(Math.abs(v), u);
  if (size >= 1e6 || size < 1e-3) {
    const exponent = Math.floor(Math.log10(size));
    const scale = 10 ** exponent;
    const decimals = Math.max(0, Math.min(20, exponent - place));
    return withUnit(
      `(${(v / scale).toFixed(decimals)} ± ${(u / scale).toFixed(decimals)})·10^${exponent}`,
      unit.label,
    ).replace('(-', '(−');
  }
  const decimals = Math.max(0, Math.min(20, -place));
  return withUnit(`${v.toFixed(decimals)} ± ${u.toFixed(decimals)}`.replace(/^-/, '−'), unit.label);
}

/** Axis label: quantity, symbol and unit, as "torque T [N·m]". */
export function axisLabel(key: QuantityKey, system: UnitSystem): string {
  const { label, symbol } = quantity(key);
  const unit = displayUnit(key, system).label;
  return [label, symbol, unit === '' ? '' : `[${unit}]`].filter((s) => s !== '').join(' ');
}
