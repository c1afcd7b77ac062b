import type { ScheduleDocument } from '../../engine/project/product/productDocument.js';
import { type Unit, unitById } from '../../engine/units/quantity.js';
import { type Path, replaceNode, setValues } from '../yaml/patch.js';
import { inUnit, type StatedKey, statedKey, valueAt } from '../yaml/stated.js';

const finest = { force: 0.01, length: 1e-4 };

/** Units in which a schedule of a text states its forces and its diameters. */
interface ScheduleUnits {
  readonly force: Unit;
  readonly length: Unit;
}

function unitsOf(map: object): ScheduleUnits {
  const first = (
    stems: readonly string[],
    of: 'tensionPerWidth' | 'length',
    at: object,
  ): StatedKey | undefined => stems.map((stem) => statedKey(at, stem, of)).find((k) => k !== undefined);
  const hard = (map as { hard_start?: object }).hard_start;
  return {
    force:
      first(['start_', 'end_', 'values_'], 'tensionPerWidth', map)?.unit ??
      (unitById('tensionPerWidth', 'N_per_m') as Unit),
    length:
      first(['diameters_'], 'length', map)?.unit ??
      (hard && statedKey(hard, 'depth_', 'length')?.unit) ??
      (unitById('length', 'm') as Unit),
  };
}

/** A schedule as plain data in the units that a document uses for it. */
function stated(s: ScheduleDocument, { force, length }: ScheduleUnits): Record<string, unknown> {
  const f = (si: number): number => inUnit(si, force, finest.force);
  const l = (si: number): number => inUnit(si, length, finest.length);
  return {
    law: s.law,
    ...(s.linear_share !== undefined && { linear_share: s.linear_share }),
    ...(s.start_N_per_m !== undefined && { [`start_${force.id}`]: f(s.start_N_per_m) }),
    ...(s.end_N_per_m !== undefined && { [`end_${force.id}`]: f(s.end_N_per_m) }),
    ...(s.taper !== undefined && { taper: s.taper }),
    ...(s.diameters_m && { [`diameters_${length.id}`]: s.diameters_m.map(l) }),
    ...(s.values_N_per_m && { [`values_${force.id}`]: s.values_N_per_m.map(f) }),
    ...(s.hard_start && {
      hard_start: { boost: s.hard_start.boost, [`depth_${length.id}`]: l(s.hard_start.depth_m) },
    }),
  };
}

/**
 * The text of a product with a schedule changed [SI], in the units in which the text states it. While law and number of points stay, only the
 * numbers that changed are written; else the schedule is written anew in one line, and the rest of the text stays as it is.
 */
export function setSchedule(
  text: string,
  path: Path,
  before: ScheduleDocument,
  after: ScheduleDocument,
): string {
  const map = valueAt(text, path);
  if (typeof map !== 'object' || map === null) throw new Error(`there is no ${path.join('.')}`);
  const units = unitsOf(map);
  const [was, is] = [stated(before, units), stated(after, units)];
  const edits = changes(was, is, path, map);
  return edits === undefined ? replaceNode(text, path, is) : setValues(text, edits);
}

type Edit = readonly [path: Path, value: number];

/** Numbers that differ; undefined where the shape differs, or the text states a key in another unit than the rest. */
function changes(was: object, is: object, path: Path, map: object): Edit[] | undefined {
  const keys = Object.keys(is);
  if (keys.length !== Object.keys(was).length) return undefined;
  const edits: Edit[] = [];
  for (const key of keys) {
    const [a, b] = [(was as Record<string, unknown>)[key], (is as Record<string, unknown>)[key]];
    const there = (map as Record<string, unknown>)[key];
    if (typeof a !== typeof b || there === undefined || Array.isArray(a) !== Array.isArray(b))
      return undefined;
    if (typeof b === 'object' && b !== null) {
      if (Array.isArray(b) && b.length !== (a as unknown[]).length) return undefined;
      const inner = changes(a as object, b, [...path, key], there as object);
      if (inner === undefined) return undefined;
      // an index of a list is a number in a path
      edits.push(
        ...inner.map(
          ([p, v]): Edit => [p.map((k) => (Array.isArray(b) && /^\d+$/.test(String(k)) ? Number(k) : k)), v],
        ),
      );
    } else if (a !== b) {
      if (typeof b !== 'number') return undefined;
      edits.push([[...path, key], b]);
    }
  }
  return edits;
}
