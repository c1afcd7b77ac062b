import { TautlineError } from '../errors.js';
import { type QuantityKey, quantity, type Unit, type UnitSystem, unitById } from './quantity.js';

/** The unit of a quantity by its id. @throws TautlineError unit_unknown */
function requireUnit(key: QuantityKey, id: string): Unit {
  const unit = unitById(key, id);
  if (unit === undefined) {
    const known = quantity(key).units.map((u) => u.id);
    throw new TautlineError(
      'unit_unknown',
      { quantity: key, unit: id },
      `"${id}" is no unit of ${quantity(key).label}`,
      `use one of ${known.join(', ')}`,
    );
  }
  return unit;
}

/** Value in SI of a value in a unit. Exact as far as doubles go. @throws TautlineError unit_unknown */
export const toSI = (value: number, key: QuantityKey, id: string): number =>
  value * requireUnit(key, id).factor;

/** Value in a unit of a value in SI. @throws TautlineError unit_unknown */
export const fromSI = (value: number, key: QuantityKey, id: string): number =>
  value / requireUnit(key, id).factor;

/** The unit in which a system shows a quantity. */
export const displayUnit = (key: QuantityKey, system: UnitSystem): Unit =>
  requireUnit(key, quantity(key).display[system]);
