import {
  type BoardFact,
  type BoardRow,
  boardFacts,
  type NextEntry,
  type NextWeight,
  nextWeights,
} from './boardDocument.js';
import type { Judged, Step } from './rowState.js';

/** Cells of a row with their steps. */
export interface JudgedRow {
  readonly row: BoardRow;
  readonly judged: Readonly<Record<BoardFact, Judged>>;
}

const order = (weight: NextWeight): number => nextWeights.indexOf(weight);

/**
 * What to do next, what holds back most first: by weight, then in web order, then as the facts of a row follow on each other. Cells of a row that
 * wait for one action share one entry, and so do all rows that wait for the line as a whole. Not a relation [1]. Source: definition.
 */
export function nextList(rows: readonly JudgedRow[], ofLine: readonly NextEntry[]): NextEntry[] {
  const found = new Map<string, NextEntry>();
  const add = (entry: NextEntry): void => {
    const key = JSON.stringify([
      entry.row ?? '',
      entry.action.kind,
      entry.action.view,
      sorted(entry.action.parameters),
    ]);
    const before = found.get(key);
    if (before === undefined) {
      found.set(key, entry);
      return;
    }
    const heavier = order(entry.weight) < order(before.weight) ? entry : before;
    const facts = boardFacts.filter((f) => before.facts.includes(f) || entry.facts.includes(f));
    found.set(key, { ...heavier, facts });
  };
  for (const entry of ofLine) add(entry);
  for (const { row, judged } of rows)
    for (const fact of boardFacts) for (const step of judged[fact].steps) add(toEntry(step, row.name, fact));
  const place = new Map(rows.map(({ row }, k) => [row.name, k]));
  // what concerns the whole line comes before its rows
  const rank = (entry: NextEntry): number =>
    entry.row === undefined ? -1 : (place.get(entry.row) ?? rows.length);
  return [...found.values()].sort((a, b) => order(a.weight) - order(b.weight) || rank(a) - rank(b));
}

const sorted = (o: object): unknown => Object.entries(o).sort(([a], [b]) => (a < b ? -1 : 1));

function toEntry({ owner, ...step }: Step, row: string, fact: BoardFact): NextEntry {
  const of = owner === undefined ? row : owner.row;
  return { ...step, ...(of !== undefined && { row: of }), facts: [fact] };
}
