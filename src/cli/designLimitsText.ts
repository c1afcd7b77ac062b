import type { DesignDocument } from '../engine/project/roll/designDocument.js';
import { formatQuantity } from '../engine/units/format.js';
import type { UnitSystem } from '../engine/units/quantity.js';
import type { RollLine } from '../node/lineFolder/readRollLine.js';
import { textTable } from './table.js';

/** Between what a schedule was designed, and where the limits come from. */
export function designLimitsText(
  { limits }: DesignDocument,
  from: RollLine | undefined,
  units: UnitSystem,
): string {
  const force = (x: number | undefined): string =>
    x === undefined ? '' : formatQuantity(x, 'tensionPerWidth', units, 4);
  const source =
    from === undefined
      ? 'stated in the roll; no line was given'
      : `the roll, ${from.lineFile}${from.productFile === undefined ? '' : ` and ${from.productFile}`}`;
  return [
    `designed within the limits of ${source}:`,
    textTable(
      ['', 'from', 'to', 'by', 'tightest at'],
      limits.map((l) => [
        l.knob,
        force(l.low_N_per_m),
        force(l.high_N_per_m),
        l.name,
        l.diameter_m === undefined ? '' : formatQuantity(l.diameter_m, 'length', units, 4),
      ]),
    ),
    '',
  ].join('\n');
}
