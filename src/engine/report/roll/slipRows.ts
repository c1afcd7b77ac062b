import { upToAny } from '../../program/roll/judgeSlip.js';
import type { RollPrediction } from '../../program/roll/predictRoll.js';
import type { RollLimit } from '../../program/roll/rollLimits.js';
import type { Slide } from '../../program/roll/slipOverDiameter.js';
import type { HandlingName } from '../../roll/slip/handling.js';
import type { Acceleration, Length, Ratio } from '../../units/quantity.js';
import type { ShiftUnit } from './shiftUnit.js';

/** One way of handling a roll, full and at its worst on the way there. */
export interface SlipRow {
  readonly name: HandlingName;
  /** Margin of the full roll; undefined where nothing is asked. */
  readonly full?: Ratio;
  /** The smallest at any diameter that was looked at, the full one too. */
  readonly worst?: { readonly margin: Ratio; readonly diameter: Length };
  /** The least acceleration at which layers slip, at any diameter; undefined in steady running. */
  readonly borne?: Acceleration;
  /** The longest slide at any diameter. */
  readonly slide?: Slide;
}

/** Slip of a roll in each way of handling that is stated, in a row. Source: definition. */
export function slipRows({ slipCases, slipOverDiameter: places }: RollPrediction): SlipRow[] {
  return slipCases.map(({ name, smallest }): SlipRow => {
    const all = places.flatMap(({ diameter, cases }) =>
      cases.filter((c) => c.name === name).map((c) => ({ ...c, diameter })),
    );
    const asked = all.filter((c) => Number.isFinite(c.margin));
    const worst = asked.reduce<(typeof asked)[number] | undefined>(
      (a, b) => (a === undefined || b.margin < a.margin ? b : a),
      undefined,
    );
    const borne = all.flatMap((c) => c.borne ?? []);
    const slide = all
      .flatMap((c) => c.slides ?? [])
      .reduce<Slide | undefined>((a, b) => (a === undefined || b.arc > a.arc ? b : a), undefined);
    return {
      name,
      ...(Number.isFinite(smallest.value) && { full: smallest.value }),
      ...(worst && {
        worst: { margin: worst.margin, diameter: worst.diameter },
      }),
      ...(borne.length > 0 && { borne: upToAny(Math.min(...borne)) }),
      ...(slide && { slide }),
    };
  });
}

/** What a limit is called in a table, and where it is not kept how bad that is: compression along the web is in every roll of constant tension. */
export const limitWords: Readonly<Record<RollLimit['name'], string>> = {
  'hoop stress': 'Hoop stress, lowest',
  pressure: 'Pressure, highest',
  'core pressure': 'Pressure on the core',
  'outer pressure': 'Pressure near the outside',
};

/** Whether a limit is kept, in words. */
export const keptWords = ({ name, isKept }: RollLimit): string =>
  isKept === undefined ? '–' : isKept ? 'kept' : name === 'hoop stress' ? 'in compression' : 'not kept';

/** How far layers slide, in the unit of shifts. */
export const slideWords = ({ arc }: Slide, unit: ShiftUnit): string =>
  Number.isFinite(arc) ? unit.text(arc) : 'over a turn';
