import { compareIdentifications } from '../../../engine/identify/compare/compare.js';
import type { Change, Comparison } from '../../../engine/identify/compare/comparison.js';
import type { Identification } from '../../../engine/identify/identification.js';
import { parameterQuantity } from '../../../engine/identify/parameterQuantity.js';
import type { Drive } from '../../../engine/line/drive.js';
import { compareVisits } from '../../../engine/project/visit.js';
import type { Format } from '../../../engine/report/format.js';
import { shortWords } from './rows.js';
import type { KeptResult } from './useAgainst.js';

export interface ComparedResults {
  readonly earlier: Identification;
  readonly later: Identification;
  readonly comparison: Comparison;
  /** Is the kept one the earlier? */
  readonly isKeptEarlier: boolean;
}

/** A result against a kept one, in the order of their visits; of one visit the kept one came first. */
export function compared(
  kept: KeptResult,
  shown: Identification,
  visit: string | undefined,
  drive: Drive,
): ComparedResults {
  const isKeptEarlier = visit === undefined || compareVisits(kept.visit, visit) <= 0;
  const [earlier, later] = isKeptEarlier ? [kept.identification, shown] : [shown, kept.identification];
  const drives = isKeptEarlier
    ? { earlier: kept.drive, later: drive }
    : { earlier: drive, later: kept.drive };
  const comparison = compareIdentifications(earlier, later, drives);
  return { earlier, later, comparison, isKeptEarlier };
}

/** A change in words: both values, their ratio with its interval, and whether it is one. */
export interface ChangeRow {
  readonly key: string;
  readonly words: string;
  readonly earlier: string;
  readonly later: string;
  readonly unit: string;
  readonly ratio: string;
  readonly verdict: Change['verdict'];
}

/** @param local writes a number as the person does */
export function changeRows(
  comparison: Comparison,
  format: Format,
  local: (text: string) => string,
): ChangeRow[] {
  const rows = (changes: readonly Change[], direction: string): ChangeRow[] =>
    changes.map((c) => {
      const quantity = parameterQuantity[c.name];
      const half = ([low, high]: readonly [number, number]): number => 0.5 * (high - low);
      return {
        key: `${direction} ${c.name}`,
        words: `${shortWords(c.name)}${direction === '' ? '' : `, ${direction}`}`,
        earlier: local(format.pair(quantity, c.earlier, half(c.earlierInterval95))),
        later: local(format.pair(quantity, c.later, half(c.laterInterval95))),
        unit: format.unit(quantity),
        ratio: local(ratioText(c, format)),
        verdict: c.verdict,
      };
    });
  return [
    ...rows(comparison.changes, comparison.changesReverse === undefined ? '' : 'forward'),
    ...rows(comparison.changesReverse ?? [], 'reverse'),
  ];
}

function ratioText({ ratio, ratioInterval95 }: Change, format: Format): string {
  if (ratio === undefined || ratioInterval95 === undefined) return '–';
  const [low, high] = ratioInterval95;
  const { texts } = format.row('ratio', [ratio, low, high], 0.5 * (high - low));
  return `${texts[0]} (${texts[1]} to ${texts[2]})`;
}
