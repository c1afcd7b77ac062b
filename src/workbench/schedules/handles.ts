import { type Build, endFromTaper, lawCurve, taperFromEnd } from '../../engine/program/schedule/laws.js';
import type { ScheduleLaw } from '../../engine/program/schedule/types.js';
import type { RollProgramDocument, ScheduleDocument } from '../../engine/project/product/productDocument.js';

/** The knobs of a roll program, as the product names them. */
export const knobKeys = ['tension', 'nip', 'torque_differential'] as const;
export type KnobKey = (typeof knobKeys)[number];

export const knobWords: Readonly<Record<KnobKey, string>> = {
  tension: 'Tension',
  nip: 'Nip',
  torque_differential: 'Torque differential',
};

/** A point of a schedule that is dragged. Values in N/m, diameters in m. */
export interface Handle {
  readonly id: string;
  readonly label: string;
  readonly diameter: number;
  readonly value: number;
  readonly moves: 'up-down' | 'sideways' | 'both';
}

export const buildOf = (roll: RollProgramDocument): Build => ({
  core: roll.core_diameter_m,
  full: roll.full_diameter_m,
});

/** Share of linear of a falling law. */
const shareOf = (s: ScheduleDocument): number =>
  s.law === 'linear' ? 1 : s.law === 'blend' ? (s.linear_share ?? 1) : 0;

/** Where a falling law ends. */
export function endOf(s: ScheduleDocument, build: Build): number {
  const start = s.start_N_per_m ?? 0;
  if (s.law === 'constant') return start;
  return s.end_N_per_m ?? endFromTaper(start, s.taper ?? 0, shareOf(s), build);
}

/** The handles of a schedule: its start and end, the bend of a blend, the points of a table, the hard start. */
export function handlesOf(s: ScheduleDocument, build: Build): Handle[] {
  const { core, full } = build;
  if (s.law === 'table')
    return (s.diameters_m ?? []).map((diameter, k) => ({
      id: `point ${k}`,
      label: `point ${k + 1}`,
      diameter,
      value: s.values_N_per_m?.[k] ?? 0,
      moves: 'both',
    }));
  const start = s.start_N_per_m ?? 0;
  const handles: Handle[] = [
    { id: 'start', label: 'value at the core', diameter: core, value: start, moves: 'up-down' },
  ];
  if (s.law !== 'constant')
    handles.push({
      id: 'end',
      label: 'value at the full roll',
      diameter: full,
      value: endOf(s, build),
      moves: 'up-down',
    });
  if (s.law === 'blend')
    handles.push({
      id: 'share',
      label: 'bend: share of the linear law',
      diameter: bendAt(build),
      value: lawValue(s, build, bendAt(build)),
      moves: 'up-down',
    });
  if (s.hard_start) {
    const { boost, depth_m } = s.hard_start;
    handles.push(
      {
        id: 'boost',
        label: 'hard start at the core',
        diameter: core,
        value: start * (1 + boost),
        moves: 'up-down',
      },
      {
        id: 'depth',
        label: 'end of the hard start',
        diameter: core + depth_m,
        value: lawValue(s, build, core + depth_m),
        moves: 'sideways',
      },
    );
  }
  return handles;
}

/** Where linear and hyperbolic differ most: at the geometric mean of core and full roll. */
const bendAt = ({ core, full }: Build): number => Math.sqrt(core * full);

function lawValue(s: ScheduleDocument, build: Build, diameter: number): number {
  const law: ScheduleLaw = {
    law: 'blend',
    linearShare: shareOf(s),
    start: s.start_N_per_m ?? 0,
    end: endOf(s, build),
  };
  return s.law === 'constant' ? law.start : lawCurve(law, build, s.law, true).value(diameter);
}

const steps = { value: 0.1, diameter: 1e-3, taper: 1e-3, share: 0.01 };
const toStep = (x: number, step: number): number => Number((Math.round(x / step) * step).toPrecision(12));
const between = (x: number, low: number, high: number): number => Math.min(high, Math.max(low, x));

/** The schedule with a handle dragged to a place, kept within what a schedule can be. `mayBeNegative` as for a torque differential. */
export function withHandle(
  s: ScheduleDocument,
  id: string,
  to: { readonly diameter: number; readonly value: number },
  build: Build,
  mayBeNegative: boolean,
): ScheduleDocument {
  const value = toStep(mayBeNegative ? to.value : Math.max(0, to.value), steps.value);
  const start = s.start_N_per_m ?? 0;
  switch (id) {
    case 'start': {
      if (s.law === 'constant' || s.taper !== undefined || value !== 0) return { ...s, start_N_per_m: value };
      return s;
    }
    case 'end': {
      if (s.taper === undefined) return { ...s, end_N_per_m: value };
      if (start === 0) return s;
      // rounded towards less taper, or a floor of 0 would be passed by the rounding
      const taper = taperFromEnd(start, value, shareOf(s), build);
      return { ...s, taper: Number((Math.floor(taper / steps.taper + 1e-9) * steps.taper).toPrecision(12)) };
    }
    case 'share':
      return { ...s, linear_share: shareFor(s, build, to.value) };
    case 'boost':
      if (s.hard_start === undefined || start === 0) return s;
      return {
        ...s,
        hard_start: { ...s.hard_start, boost: between(toStep(to.value / start - 1, 0.005), -0.9, 4) },
      };
    case 'depth': {
      if (s.hard_start === undefined) return s;
      const depth = toStep(to.diameter - build.core, steps.diameter);
      return {
        ...s,
        hard_start: { ...s.hard_start, depth_m: between(depth, steps.diameter, build.full - build.core) },
      };
    }
    default:
      return withPoint(s, Number(id.replace('point ', '')), { diameter: to.diameter, value }, build);
  }
}

function withPoint(
  s: ScheduleDocument,
  k: number,
  to: { diameter: number; value: number },
  { core, full }: Build,
): ScheduleDocument {
  const diameters = [...(s.diameters_m ?? [])];
  const values = [...(s.values_N_per_m ?? [])];
  if (diameters[k] === undefined) return s;
  const low = k === 0 ? core : (diameters[k - 1] as number) + steps.diameter;
  const high = k === diameters.length - 1 ? full : (diameters[k + 1] as number) - steps.diameter;
  diameters[k] = between(toStep(to.diameter, steps.diameter), low, Math.max(low, high));
  values[k] = to.value;
  return { ...s, diameters_m: diameters, values_N_per_m: values };
}

/** Share of linear at which a blend passes through a value at its bend, with start and end or taper as stated; bisection, it is monotone. */
function shareFor(s: ScheduleDocument, build: Build, value: number): number {
  const at = (share: number): number => lawValue({ ...s, linear_share: share }, build, bendAt(build));
  let [low, high] = [0, 1];
  const isRising = at(1) > at(0);
  for (let step = 0; step < 24; step++) {
    const middle = (low + high) / 2;
    if (at(middle) < value === isRising) low = middle;
    else high = middle;
  }
  return toStep((low + high) / 2, steps.share);
}

/** A table with a point more where the schedule is now, or with one less. A table keeps two points. */
export function withPointAt(s: ScheduleDocument, diameter: number, value: number): ScheduleDocument {
  const d = toStep(diameter, steps.diameter);
  const diameters = [...(s.diameters_m ?? [])];
  const values = [...(s.values_N_per_m ?? [])];
  if (s.law !== 'table' || diameters.some((x) => Math.abs(x - d) < steps.diameter)) return s;
  const k = diameters.findIndex((x) => x > d);
  const at = k === -1 ? diameters.length : k;
  diameters.splice(at, 0, d);
  values.splice(at, 0, toStep(value, steps.value));
  return { ...s, diameters_m: diameters, values_N_per_m: values };
}

export function withoutPoint(s: ScheduleDocument, k: number): ScheduleDocument {
  if (s.law !== 'table' || (s.diameters_m?.length ?? 0) <= 2) return s;
  return {
    ...s,
    diameters_m: s.diameters_m?.filter((_, i) => i !== k) ?? [],
    values_N_per_m: s.values_N_per_m?.filter((_, i) => i !== k) ?? [],
  };
}

/** The schedule by another law, with start and end where they are; a table takes five points off the curve as it is. */
export function withLaw(
  s: ScheduleDocument,
  law: ScheduleDocument['law'],
  build: Build,
  at: (diameter: number) => number,
): ScheduleDocument {
  if (law === s.law) return s;
  const start = toStep(s.law === 'table' ? at(build.core) : (s.start_N_per_m ?? 0), steps.value);
  const end = toStep(s.law === 'table' ? at(build.full) : endOf(s, build), steps.value);
  const hard = s.hard_start && law !== 'table' ? { hard_start: s.hard_start } : {};
  if (law === 'constant') return { law, start_N_per_m: start, ...hard };
  if (law === 'table') {
    const diameters = Array.from({ length: 5 }, (_, k) =>
      toStep(build.core + ((build.full - build.core) * k) / 4, steps.diameter),
    );
    return { law, diameters_m: diameters, values_N_per_m: diameters.map((d) => toStep(at(d), steps.value)) };
  }
  return {
    law,
    ...(law === 'blend' && { linear_share: 0.5 }),
    start_N_per_m: start,
    end_N_per_m: end,
    ...hard,
  };
}
