import { type QuantityKey, quantity, quantityKeys, type Unit } from './quantity.js';

export interface ParsedUnit {
  readonly quantity: QuantityKey;
  readonly unit: Unit;
}

const tidy = (text: string): string => text.trim().replace(/\s+/g, ' ');

function matches(unit: Unit, text: string): boolean {
  const lower = text.toLowerCase();
  if (unit.aliases?.some((a) => a.toLowerCase() === lower)) return true;
  if (unit.exact !== undefined) return unit.exact.includes(text);
  return unit.id.toLowerCase() === lower || unit.label.toLowerCase() === lower;
}

/**
 * The unit that a text means, e.g. "rpm", "U/min", "% of rated", "lb-ft". Only the quantities `among` are considered (all
 * when left out); a text that fits several of them, such as a bare "lb", gives undefined: a unit is never guessed.
 * GD² of older data sheets is not in the table on purpose: in kgf·m² it is four times the inertia.
 */
export function parseUnit(
  text: string,
  among: readonly QuantityKey[] = quantityKeys,
): ParsedUnit | undefined {
  const wanted = tidy(text);
  if (wanted === '') return undefined;
  const found: ParsedUnit[] = [];
  for (const key of among) {
    const unit = quantity(key).units.find((u) => matches(u, wanted));
    if (unit !== undefined) found.push({ quantity: key, unit });
  }
  return found.length === 1 ? found[0] : undefined;
}

/** Labels of all units of some quantities, for messages that list what would be understood. */
export const unitLabels = (among: readonly QuantityKey[]): string[] =>
  among.flatMap((key) => quantity(key).units.map((u) => u.label)).filter((l) => l !== '');
