import type { Line } from '../../../line/line.js';
import { type TugOptions, tugBudget } from '../../../line/tug/tugBudget.js';
import type { TensionPerWidth } from '../../../units/quantity.js';

/** The roller that slips first when the tension before the winder falls; without a tension where it slips at any that is allowed. */
export interface LowestTraction {
  readonly tension?: TensionPerWidth;
  readonly roller: string;
}

/** Halvings of the interval: to 0.01 % of it. */
const halvings = 13;

/**
 * Lowest tension of the winder at which no roller before it slips at top speed, running, speeding up or stopping [N/m], between `low` and `high` [N/m], and the roller that slips first below it. Undefined where none is judged (friction, wraps or speed are not
 * known), or none slips at `low`. Without a tension where some slip even at `high`: more tension alone does not help them.
 * Valid: a roller grips better with more tension (the friction that it needs falls, and so does the air film). Source: docs/models/tug-budget.md, traction-and-air.md.
 */
export function lowestTraction(
  line: Line,
  winder: string,
  options: TugOptions,
  low: TensionPerWidth,
  high: TensionPerWidth,
): LowestTraction | undefined {
  const slipping = (tension: TensionPerWidth): string | undefined =>
    tugBudget(line, { ...options, winderTension: { low: tension, high: tension } })
      ?.zones.filter((z) => z.to === winder)
      .flatMap((z) => z.rollers)
      .filter((r) => r.reserve !== undefined && r.reserve < 1)
      .sort((a, b) => (a.reserve ?? 1) - (b.reserve ?? 1))[0]?.name;
  const first = slipping(low);
  if (first === undefined) return undefined;
  const always = slipping(high);
  if (always !== undefined) return { roller: always };
  let [slips, grips, roller] = [low, high, first];
  for (let k = 0; k < halvings; k++) {
    const middle = 0.5 * (slips + grips);
    const found = slipping(middle);
    if (found === undefined) grips = middle;
    else [slips, roller] = [middle, found];
  }
  return { tension: grips, roller };
}
