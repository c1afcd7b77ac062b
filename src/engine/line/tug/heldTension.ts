import type { Length, TensionPerWidth } from '../../units/quantity.js';
import { exactly, minus, plus, times, total } from './band.js';
import type { Band, Interval } from './types.js';
import type { ZoneRollers } from './zones.js';

/** Where the tension of a zone is held, and what it is [N]. */
export interface HeldTension {
  readonly at: 'beginning' | 'end';
  readonly tension: Band;
}

/**
 * The tension held in a zone over the whole width [N]; undefined where none is stated. Before a winder whose program is given, what the program holds
 * at the end counts; else what is stated behind the section at the beginning; else what a loop holds at the end. `winder` tensions that its program
 * runs through [N/m], W width [m]. Source: definition.
 */
export function heldTension(
  { atBeginning, atEnd, to }: ZoneRollers,
  width: Length | undefined,
  winder: Band | undefined,
): HeldTension | undefined {
  if (width === undefined) return undefined;
  if (to.kind === 'winder' && winder !== undefined) return { at: 'end', tension: times(winder, width) };
  const [at, stated]: [HeldTension['at'], TensionPerWidth | undefined] =
    atBeginning === undefined ? ['end', atEnd] : ['beginning', atBeginning];
  return stated === undefined ? undefined : { at, tension: exactly(stated * width) };
}

/**
 * Tension before every roller of a zone, and last the one behind them all [N]: what is held plus the rises up to there, or less the rises from there
 * on. Source: sum of the rises.
 */
export const tensionsBefore = ({ at, tension }: HeldTension, rises: readonly Interval[]): Interval[] =>
  Array.from({ length: rises.length + 1 }, (_, k) =>
    at === 'beginning' ? plus(tension, total(rises.slice(0, k))) : minus(tension, total(rises.slice(k))),
  );
