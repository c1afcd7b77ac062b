import type { Element } from '../../line/drive.js';
import { compareVisits, visitDate } from '../visit.js';
import { documentOf } from './boardInput.js';
import { type Judged, known, missing, type RowState, recordTest, whyNothing } from './rowState.js';

/** Elements whose drag is large against what the web can take, and whose bearings and seals run in. */
const highDrag: readonly Element[] = ['spreader', 'dryer', 'rider'];

/** Days of running in after which such a drive is looked at again: about a month, common practice, no source. */
const runningIn = 30;

const dayLength = 86_400_000;

/** When to record the drive again: a month of running in after the latest visit, for drives of high drag [days]. Common practice, no source. */
export function nextVisitCell(state: RowState): Judged {
  const { row, results, drive, input } = state;
  const element =
    documentOf(drive)?.element ?? results.current?.document.drive.element ?? row.nameplate?.element;
  if (element === undefined || !highDrag.includes(element))
    return missing(
      element === undefined
        ? 'what the drive moves is not known'
        : 'no visit is suggested for this element: its drag changes little',
    );
  const visits = [
    ...results.recorded.map(({ visit }) => visit),
    ...[results.current, results.webOn].flatMap((r) => (r === undefined || r.visit === '' ? [] : [r.visit])),
  ].sort(compareVisits);
  const latest = visits[visits.length - 1];
  if (latest === undefined) {
    const { action, why } = whyNothing(state);
    return { cell: { state: 'missing', reason: why, action }, steps: [] };
  }
  // a word such as "production" sorts behind every date but says nothing of the day
  const dated = visits.findLast((visit) => visitDate(visit) !== undefined);
  if (dated === undefined) {
    const why = `not dated: the name of the latest visit (${latest}) is no date, so the month of running in cannot be counted`;
    return missing(why, {
      weight: 'visit-due',
      why: `${row.name}: ${why}`,
      action: recordTest(
        row,
        'designed',
        'record it again after a month of running in, and name the visit by its date',
      ),
    });
  }
  const due = new Date(Date.parse(`${dated}T00:00:00Z`) + runningIn * dayLength).toISOString().slice(0, 10);
  const isDue = input.today !== undefined && input.today.slice(0, 10) >= due;
  return known(
    {
      date: due,
      words: isDue ? 'due' : 'suggested after a month of running in',
      from: {
        method: 'thirty days after the latest dated visit: common practice, no source',
        visit: dated,
        date: dated,
      },
      findings: [],
    },
    isDue
      ? [
          {
            weight: 'visit-due',
            why: `${row.name} was recorded on ${dated} and has run in since`,
            action: recordTest(row, 'designed', 'record it again and compare'),
          },
        ]
      : [],
  );
}
