import type { Finding } from '../../findings.js';
import { formatQuantity } from '../../units/format.js';
import type { Length, TensionPerWidth, UnitSystem } from '../../units/quantity.js';
import { type Interval, isKnown, type RollerTug, type TensionZone } from './types.js';

/** Window of the product: the tension at the end of a zone at which it is not held must lie in it too [N/m]. */
export interface TensionWindow {
  readonly lowestTension?: TensionPerWidth;
  readonly highestTension?: TensionPerWidth;
}

/** What a zone's budget gives cause to say: rollers in need, rollers that need measuring, tension outside the product's window. Source: definition [N/m]. */
export const zoneFindings = (
  zone: TensionZone,
  { pointer }: { readonly pointer: string },
  far: Interval | undefined,
  width: Length | undefined,
  window: TensionWindow,
  units: UnitSystem,
): Finding[] => [
  ...zone.rollers.flatMap((t) => rollerFinding(t, units)),
  ...(far === undefined || width === undefined
    ? []
    : windowFinding(zone, pointer, far, width, window, units)),
];

function rollerFinding(t: RollerTug, units: UnitSystem): Finding[] {
  const where = { pointer: t.pointer, section: t.section };
  const isBand = t.drag !== undefined && t.drag.low < t.drag.high;
  if (t.verdict === 'needs a helper drive') {
    const helper =
      t.helper === undefined || !Number.isFinite(t.helper.torque.high)
        ? ''
        : `; it must give ${formatQuantity(t.helper.torque.high, 'torque', units)} and ${formatQuantity(t.helper.power.high, 'power', units)} at the roller`;
    const slips = t.reserve !== undefined && t.reserve < 1;
    return [
      {
        code: slips ? 'traction_lost' : 'helper_needed',
        severity: 'warn',
        message: `${t.name} needs a helper drive: ${t.reasons.join('; ')}${helper}`,
        where,
        next: slips
          ? 'a web that lets air through, or a grooved roller, holds better: state web.permeable or grooved if so; else give it a drive, more wrap or grooves, or accelerate more slowly'
          : isBand
            ? 'measure its drag by a coast-down; if it stays so, give it a drive, lighter bearings or a lighter shell'
            : 'give it a drive, lighter bearings or a lighter shell, or change speed more slowly',
      },
    ];
  }
  // What nobody stated is named once, by mechanics_missing; here only what an estimate leaves open.
  if (t.verdict === 'not known' && isBand && t.missing.every((m) => m === 'drag'))
    return [
      {
        code: 'helper_unclear',
        severity: 'info',
        message: `whether ${t.name} needs a helper drive depends on its drag: ${t.reasons.join('; ')}`,
        where,
        next: 'measure its drag by a coast-down and state it as drag',
      },
    ];
  return [];
}

function windowFinding(
  zone: TensionZone,
  pointer: string,
  far: Interval,
  width: Length,
  { lowestTension = Number.NEGATIVE_INFINITY, highestTension = Number.POSITIVE_INFINITY }: TensionWindow,
  units: UnitSystem,
): Finding[] {
  const low = far.low / width;
  const high = far.high / width;
  const text = (x: number): string => formatQuantity(x, 'tensionPerWidth', units);
  // With an open end only what is outside for certain counts.
  const isClosed = isKnown(far);
  const below = (isClosed ? low : high) < lowestTension;
  const above = (isClosed ? high : low) > highestTension;
  if (!below && !above) return [];
  const reaches =
    low === high || !Number.isFinite(high)
      ? `${Number.isFinite(high) ? '' : 'at least '}${text(low)}`
      : Number.isFinite(low)
        ? `${text(low)} to ${text(high)}`
        : `at most ${text(high)}`;
  return [
    {
      code: 'zone_tension_outside_window',
      severity: 'warn',
      message: `from ${zone.from} to ${zone.to} the tension ${zone.heldAt === 'end' ? 'before the first' : 'behind the last'} roller is ${reaches}, ${above ? `above the ${text(highestTension)}` : `below the ${text(lowestTension)}`} that the product allows`,
      where: { pointer, section: zone.to },
      next: above
        ? 'lower the drag in this zone, drive its heaviest roller, or hold less tension'
        : 'hold more tension in this zone',
    },
  ];
}
