import { type DragBand, dragBand, dragLawOf } from '../../identify/dragBand.js';
import type { Identification } from '../../identify/identification.js';
import type { Element } from '../../line/drive.js';
import { formatQuantity } from '../../units/format.js';
import type { QuantityKey } from '../../units/quantity.js';
import { fromIdentificationDocument, type IdentificationDocument } from '../identification.js';
import { type DriveResult, sourceOf } from './driveResults.js';
import {
  type Judged,
  missing,
  of,
  type RowState,
  recordTest,
  resting,
  type Step,
  whyNothing,
} from './rowState.js';

/** A value with the web on less that of the designed test, 95 % half width of the difference. */
interface Difference {
  readonly what: string;
  readonly quantity: QuantityKey;
  readonly value: number;
  readonly halfWidth: number;
  readonly at?: number;
}

/**
 * Does a recording with the web on say of the drive what the designed test said? Both are independent, so a difference agrees within
 * √(h₁² + h₂²) of the two half widths. Drag is compared where the drive does not hold tension against the web: on a helper that is given its
 * drag the web is left alone, and at a roll when the tension was recorded and taken out [N·m, kg·m²]. Source: docs/board.md.
 */
export function provenCell(state: RowState): Judged {
  const { row, results, units } = state;
  const { current, webOn } = results;
  if (current === undefined) {
    const step = whyNothing(state);
    return missing(step.why, step);
  }
  if (webOn === undefined)
    return missing('not recorded with the web on yet', notProven(state, 'not recorded with the web on yet'));
  const differences = compare(
    fromIdentificationDocument(current.document),
    webOn.document,
    current.document.drive.element,
  );
  if (differences.length === 0) {
    const why = `${webOn.document.inputs.file} holds nothing that can be held against the designed test`;
    return missing(why, notProven(state, why));
  }
  const worst = differences.reduce((a, b) =>
    Math.abs(b.value) / b.halfWidth > Math.abs(a.value) / a.halfWidth ? b : a,
  );
  if (Math.abs(worst.value) > worst.halfWidth) {
    const show = (x: number): string => formatQuantity(x, worst.quantity, units);
    const at = worst.at === undefined ? '' : ` at ${formatQuantity(worst.at, 'angularSpeed', units)}`;
    const why = `with the web on the ${worst.what} differs by ${show(worst.value)}${at} from the designed test, more than the ${show(worst.halfWidth)} that both allow`;
    return missing(why, {
      weight: 'not-proven',
      why,
      action: {
        kind: 'look-at-result',
        words: 'see what the web pulls there, then record it again with the web on',
        view: 'identify',
        parameters: { ...of(row), identification: webOn.file },
      },
    });
  }
  const rests: DriveResult = { ...webOn, stale: [...webOn.stale, ...current.stale] };
  return resting(rests, state, {
    value: worst.value,
    quantity: worst.quantity,
    interval95: [worst.value - worst.halfWidth, worst.value + worst.halfWidth],
    ...(worst.at !== undefined && { at: { value: worst.at, quantity: 'angularSpeed' as const } }),
    words: `largest difference of the ${worst.what}, web on less designed test`,
    from: sourceOf(webOn, 'running production against the designed test'),
    findings: [],
  });
}

const notProven = ({ row }: RowState, why: string): Step => ({
  weight: 'not-proven',
  why: `${row.name}: ${why}`,
  action: recordTest(row, 'web-on', 'record starts, stops and running with the web on'),
});

function compare(test: Identification, on: IdentificationDocument, element: Element): Difference[] {
  const found: Difference[] = [];
  const [a, b] = [test.estimates.inertia, on.estimates.inertia_kgm2];
  if (a !== undefined && b !== undefined)
    found.push({
      what: 'inertia',
      quantity: 'inertia',
      value: b.value - a.value,
      halfWidth: Math.hypot(half(a.interval95), half(b.interval95)),
    });
  const band = dragLawOf(test.estimates, test.stribeckExponent) && dragBand(test, 'forward');
  if (band !== undefined && dragIsItsOwn(on, element)) found.push(...dragDifferences(band, on));
  return found;
}

const half = ([lo, hi]: readonly [number, number]): number => 0.5 * (hi - lo);

/** Is the apparent drag free of what the web pulls, when the drive is given what it needs? */
const dragIsItsOwn = (on: IdentificationDocument, element: Element): boolean =>
  element === 'unwind' || element === 'winder'
    ? on.channels.some((c) => c.role === 'web-tension')
    : element === 'spreader' || element === 'rider' || element === 'driven-idler';

/** Only where both were recorded: nothing is extrapolated. */
const dragDifferences = ({ range, at }: DragBand, on: IdentificationDocument): Difference[] =>
  (on.apparentDragCurve ?? [])
    .filter((p) => p.speed_rad_per_s >= range[0] && p.speed_rad_per_s <= range[1])
    .map((p) => {
      const { torque, halfWidth } = at(p.speed_rad_per_s);
      return {
        what: 'drag',
        quantity: 'torque',
        value: p.torque_Nm - torque,
        halfWidth: Math.hypot(halfWidth, p.halfWidth95_Nm),
        at: p.speed_rad_per_s,
      };
    });
