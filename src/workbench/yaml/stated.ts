import { type QuantityKey, quantity, type Unit } from '../../engine/units/quantity.js';
import { dataOf, type Path } from './patch.js';

/** A key as a document states it: `diameter_mm` for the stem `diameter_` of a length. */
export interface StatedKey {
  readonly key: string;
  readonly unit: Unit;
}

/** The key and unit in which a map states a quantity; undefined when it states it in none. */
export function statedKey(map: object, stem: string, of: QuantityKey): StatedKey | undefined {
  for (const unit of quantity(of).units)
    if (Object.hasOwn(map, stem + unit.id)) return { key: stem + unit.id, unit };
  return undefined;
}

/** What stands at a path of a text. */
export function valueAt(text: string, path: Path): unknown {
  let at = dataOf(text);
  for (const key of path) at = (at as Record<string | number, unknown> | null | undefined)?.[key];
  return at;
}

/** SI value in a unit, rounded to a step that is stated in SI: no digit means less than the step. */
export function inUnit(si: number, unit: Unit, step: number): number {
  const decimals = Math.max(0, Math.ceil(-Math.log10(step / unit.factor) - 1e-9));
  return Number((si / unit.factor).toFixed(Math.min(12, decimals)));
}
