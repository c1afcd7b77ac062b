import type { Acceleration, Length, Speed, UnitSystem } from '../../units/quantity.js';
import type { Web } from '../../web/web.js';
import type { Line, Roller, Section } from '../line.js';
import { linePath } from '../linePath.js';
import { anything, exactly, known, plus, times, total } from './band.js';
import { gripFinding, sectionGrips } from './grip.js';
import { heldTension, tensionsBefore } from './heldTension.js';
import { type Candidate, judge } from './judge.js';
import { bearingLoad, rollerDrag, rollerRise, speedingUp, turning } from './rollerRise.js';
import { rollerTraction, statedFriction } from './rollerTraction.js';
import { type TensionWindow, zoneFindings } from './tugFindings.js';
import {
  type Band,
  type Interval,
  isKnown,
  type LineState,
  type RollerTug,
  type TensionZone,
  type TugBudget,
  type TugCriteria,
  type TugPoint,
  usualCriteria,
} from './types.js';
import { type ZoneRollers, zonesOf } from './zones.js';

export interface TugOptions extends TensionWindow {
  /** The product's web: friction, roughness, weight, width. Without it only what the line states counts. */
  readonly web?: Partial<Web>;
  readonly criteria?: TugCriteria;
  /** Lowest and highest tension of the winder's program [N/m]: the zone before the winder is judged by it. */
  readonly winderTension?: Band;
  readonly units?: UnitSystem;
}

/** Speeds of the table, as shares of top speed. */
const speedShares = [0.05, 0.25, 0.5, 0.75, 1];

/**
 * What the rollers of a line ask of the web [N], zone by zone, and which of them need a drive of their own. Undefined while the line states no speed.
 * Assumes: wraps as drawn, tension held where it is stated, air film without leakage on smooth rollers.
 * Source: docs/models/tug-budget.md.
 */
export function tugBudget(line: Line, options: TugOptions = {}): TugBudget | undefined {
  const { speed } = line;
  if (speed === undefined) return undefined;
  const width = options.web?.width ?? line.webWidth;
  const wraps = new Map(
    (linePath(line)?.wraps ?? []).filter((w) => Number.isFinite(w.wrap)).map((w) => [w.name, w.wrap]),
  );
  const context: Context = {
    top: speed.top,
    acceleration: speed.acceleration,
    stop: speed.stop,
    width,
    wraps,
    options,
    units: options.units ?? 'si',
  };
  const zones = zonesOf(line).map((zone) => ({ of: zone, budget: zoneBudget(zone, context) }));
  const arriving = new Map(
    zones.flatMap(({ of, budget }) => (budget.arriving ? [[of.to.name, budget.arriving]] : [])),
  );
  const grips =
    width === undefined
      ? []
      : sectionGrips(line, {
          wraps,
          width,
          speed: speed.top,
          arriving,
          ...(options.web && { web: options.web }),
        });
  return {
    zones: zones.map(({ budget }) => budget.zone),
    grips,
    findings: [
      ...zones.flatMap(({ of, budget }) =>
        zoneFindings(budget.zone, of.to, budget.far, width, options, context.units),
      ),
      ...grips.flatMap((grip) => gripFinding(grip, context.units)),
    ],
  };
}

interface Context {
  readonly top: Speed;
  readonly acceleration: Acceleration | undefined;
  readonly stop: Acceleration | undefined;
  readonly width: Length | undefined;
  readonly wraps: ReadonlyMap<string, number>;
  readonly options: TugOptions;
  readonly units: UnitSystem;
}

/** A roller in its zone with what follows from its place. */
interface Place {
  readonly section: Section;
  readonly roller: Roller;
  readonly wrap: number | undefined;
  /** On its bearings [N]. */
  readonly load: Interval;
  readonly isHelped: boolean;
}

interface ZoneBudget {
  readonly zone: TensionZone;
  /** Tension at the end of the zone that is not held, at top speed, steady [N]. */
  readonly far: Interval | undefined;
  /** Tension behind the last roller over all states of the line, as far as it is known [N]. */
  readonly arriving: Band | undefined;
}

function zoneBudget(of: ZoneRollers, context: Context): ZoneBudget {
  const { width, options } = context;
  const held = heldTension(of, width, options.winderTension);
  const stated = of.atBeginning ?? of.atEnd;
  const places = of.rollers.map(({ section, roller }): Place => {
    const wrap = context.wraps.get(roller.name);
    return {
      section,
      roller,
      wrap,
      load: bearingLoad(roller, roller.radius, held?.tension, wrap),
      isHelped: roller.drive !== undefined,
    };
  });
  const states = lineStates(context).map(({ when, acceleration }) => {
    const rises = places.map((p) => riseOf(p, context.top, acceleration));
    return { when, rises, before: held && tensionsBefore(held, rises) };
  });
  const [steady] = states as [(typeof states)[number]];
  const candidates = places.map((place, k) =>
    candidate(
      place,
      states.map((s) => ({ when: s.when, before: s.before?.[k], rise: s.rises[k] as Interval })),
      context,
    ),
  );
  const rollers = judge(
    candidates,
    {
      ...(held && { tension: held.tension.low }),
      stops: (context.stop ?? 0) > (context.acceleration ?? 0),
    },
    options.criteria ?? usualCriteria,
    context.units,
    context.acceleration !== undefined,
  );
  const ends = states.flatMap((s) => s.before?.[places.length] ?? []);
  return {
    zone: {
      from: of.from.name,
      to: of.to.name,
      rollers,
      ...(stated !== undefined && width !== undefined && { tension: stated * width }),
      ...(held && { heldAt: held.at, lowestTension: held.tension.low }),
      drag: sumOfKnown(rollers.map((t) => t.drag)),
      inertia: sumOfKnown(rollers.map((t) => t.inertia)),
      stopping: sumOfKnown(rollers.map((t) => t.stopping)),
      points: tablePoints(context, (v, a) => total(places.map((p) => riseOf(p, v, a)))),
      unknown: rollers
        .filter((t) => t.drag === undefined || !isKnown(t.drag) || t.inertia === undefined)
        .map((t) => t.name),
    },
    far: held?.at === 'end' ? steady.before?.[0] : ends[0],
    arriving: finiteRange(ends),
  };
}

/** What the line does where traction is judged. What it does not state is left out. */
const lineStates = ({ acceleration, stop }: Context): { when: LineState; acceleration: Acceleration }[] => [
  { when: 'running', acceleration: 0 },
  ...(acceleration === undefined ? [] : [{ when: 'speeding up' as const, acceleration }]),
  ...(stop === undefined ? [] : [{ when: 'stopping' as const, acceleration: -stop }]),
];

/** Without a radius nothing of a roller is known. */
const riseOf = ({ roller, load, isHelped }: Place, v: Speed, a: Acceleration): Interval =>
  roller.radius === undefined ? anything : rollerRise(roller, roller.radius, v, a, load, isHelped);

const tablePoints = (context: Context, rise: (v: Speed, a: Acceleration) => Interval): TugPoint[] =>
  speedShares.flatMap((share) =>
    lineStates(context).map(({ acceleration }): TugPoint => {
      const speed = share * context.top;
      const band = known(rise(speed, acceleration));
      return { speed, acceleration, ...(band && { rise: band }) };
    }),
  );

const sumOfKnown = (all: readonly (Interval | undefined)[]): Band =>
  total(all.filter((i) => i !== undefined && isKnown(i)) as Interval[]);

/** From the lowest to the highest end that has a bound. */
function finiteRange(all: readonly Interval[]): Band | undefined {
  const ends = all.flatMap(({ low, high }) => [low, high]).filter(Number.isFinite);
  return ends.length === 0 ? undefined : { low: Math.min(...ends), high: Math.max(...ends) };
}

interface PlaceState {
  readonly when: LineState;
  readonly before: Interval | undefined;
  readonly rise: Interval;
}

function candidate(place: Place, states: readonly PlaceState[], context: Context): Candidate {
  const { section, roller, wrap, load, isHelped } = place;
  const { top, acceleration, stop, width, options } = context;
  const before = states[0]?.before;
  const base = {
    name: roller.name,
    section: section.name,
    pointer: section.pointer,
    carrier: isHelped ? ('helper drive' as const) : ('web' as const),
    ...(wrap !== undefined && { wrap }),
    ...(before !== undefined && Number.isFinite(before.low) && { tensionBefore: before }),
    points: tablePoints(context, (v, a) => riseOf(place, v, a)),
    verdict: isHelped ? ('driven' as const) : ('carried by the web' as const),
    reasons: [],
    missing: [],
    provisos: [],
  };
  const { radius } = roller;
  if (radius === undefined)
    return {
      tug: { ...base, verdict: 'not known', reasons: ['its diameter is not stated'], missing: ['diameter'] },
    };
  const drag = turning(roller, radius, top, load, isHelped);
  const inertia =
    acceleration === undefined ? undefined : known(speedingUp(roller, radius, acceleration, isHelped));
  const stopping = stop === undefined ? undefined : known(speedingUp(roller, radius, -stop, isHelped));
  const isDragKnown = isKnown(drag) || drag.low > 0;
  const rolled = {
    ...base,
    ...(isDragKnown && { drag }),
    ...(inertia && { inertia }),
    ...(stopping && { stopping }),
  };
  if (isHelped) return { tug: rolled };
  const traction =
    before === undefined || wrap === undefined || width === undefined
      ? undefined
      : rollerTraction(
          { roller, radius, wrap, speed: top, width, ...(options.web && { web: options.web }) },
          states.map((s) => ({ ...s, before: s.before ?? anything })),
        );
  const helper =
    acceleration === undefined || roller.inertia === undefined || !isDragKnown
      ? undefined
      : helperNeeds(roller, radius, top, acceleration, load);
  const stated = statedFriction(roller, options.web);
  const { reserve, frictionNeeded, provisos = [], ...grip } = traction ?? {};
  // An open end makes the worst case infinite, which says nothing of the roller.
  const isBounded = states.every((s) => isKnown(s.rise) && Number.isFinite(s.before?.low));
  return {
    tug: {
      ...rolled,
      ...grip,
      ...(stated !== undefined && traction === undefined && { friction: stated }),
      ...(isBounded && frictionNeeded !== undefined && { frictionNeeded }),
      ...(isBounded && reserve && { reserve: reserve.low }),
      ...(helper && { helper }),
      provisos: [...provisos, ...(stop === undefined ? ['stops are left out: the line states none'] : [])],
    },
    ...(reserve && { reserve }),
  };
}

/** What a helper drive must give at the roller at top speed while speeding up: M + J·a/R [N·m], and its power [W]. Source: docs/models/tug-budget.md. */
function helperNeeds(
  roller: Roller,
  radius: Length,
  top: Speed,
  acceleration: Acceleration,
  load: Interval,
): RollerTug['helper'] {
  const inertia = roller.inertia?.value ?? Number.NaN;
  const torque = plus(rollerDrag(roller, radius, top, load), exactly((inertia * acceleration) / radius));
  return {
    torque,
    ...(roller.breakaway !== undefined && { start: roller.breakaway }),
    power: times(torque, top / radius),
  };
}
