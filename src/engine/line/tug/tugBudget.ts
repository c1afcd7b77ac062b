import type { Finding } from '../../findings.js';
import { formatNumber, formatQuantity } from '../../units/format.js';
import type { Acceleration, Length, Speed, TensionPerWidth, UnitSystem } from '../../units/quantity.js';
import { airFilm, combinedRoughness, frictionWithAir } from '../../web/airFilm.js';
import { accelerationBeforeSlip, frictionNeeded, pressingTension } from '../../web/traction.js';
import type { Web } from '../../web/web.js';
import { webLoad } from '../idler.js';
import type { Line, Roller, Section } from '../line.js';
import { linePath } from '../linePath.js';
import { gripFinding, sectionGrips } from './grip.js';
import { rollerDrag, rollerRise } from './rollerRise.js';
import {
  type Band,
  type RollerTug,
  type TensionZone,
  type TugBudget,
  type TugCriteria,
  type TugPoint,
  usualCriteria,
} from './types.js';

export interface TugOptions {
  /** The product's web: friction, roughness, weight, width. Without it only what the line states counts. */
  readonly web?: Partial<Web>;
  readonly criteria?: TugCriteria;
  /** Window of the product: the tension behind the last roller of a zone must lie in it. */
  readonly lowestTension?: TensionPerWidth;
  readonly highestTension?: TensionPerWidth;
  readonly units?: UnitSystem;
}

/** Standard gravity [m/s²], 3rd CGPM 1901. */
const gravity = 9.80665;
/** Speeds of the table, as shares of top speed. */
const speedShares = [0.05, 0.25, 0.5, 0.75, 1];

/**
 * What the rollers of a line ask of the web [N], zone by zone, and which of them need a drive of their own. Undefined while the line states no speed.
 * Assumes: wraps as drawn, tension held at the beginning of each zone, air film without leakage on smooth rollers.
 * Source: docs/models/tug-budget.md.
 */
export function tugBudget(line: Line, options: TugOptions = {}): TugBudget | undefined {
  const { speed } = line;
  if (speed === undefined) return undefined;
  const width = options.web?.width ?? line.webWidth;
  const wraps = new Map((linePath(line)?.wraps ?? []).map((w) => [w.name, w.wrap]));
  const context: Context = {
    top: speed.top,
    acceleration: speed.acceleration ?? 0,
    stop: speed.stop ?? 0,
    width,
    wraps,
    options,
    criteria: options.criteria ?? usualCriteria,
    units: options.units ?? 'si',
  };
  const zones = zonesOf(line).map((zone) => budgetOf(zone, context));
  const grips = sectionGrips(line, wraps, width, options.web);
  return {
    zones,
    grips,
    findings: [
      ...zones.flatMap((zone) => findingsOf(zone, context)),
      ...grips.flatMap((grip) => gripFinding(grip, context.units)),
    ],
  };
}

interface Context {
  readonly top: Speed;
  readonly acceleration: Acceleration;
  readonly stop: Acceleration;
  readonly width: Length | undefined;
  readonly wraps: ReadonlyMap<string, number>;
  readonly options: TugOptions;
  readonly criteria: TugCriteria;
  readonly units: UnitSystem;
}

interface ZoneRollers {
  readonly from: Section;
  readonly to: Section;
  readonly rollers: readonly { section: Section; roller: Roller }[];
  /** The tension held behind `from`, or the last that was stated before it. */
  readonly tension: TensionPerWidth | undefined;
}

/** Sections that hold tension or speed: the web's tension begins anew behind them. */
const isBorder = (section: Section): boolean =>
  section.kind === 'unwind' ||
  section.kind === 'winder' ||
  ((section.kind === 'pull-roll' || section.kind === 'dryer') &&
    section.rollers.some((r) => r.drive !== undefined));

function zonesOf(line: Line): ZoneRollers[] {
  const zones: ZoneRollers[] = [];
  let from: Section | undefined;
  let tension: TensionPerWidth | undefined;
  let rollers: { section: Section; roller: Roller }[] = [];
  const drums = new Set(
    line.sections.flatMap((s) => (s.kind === 'winder' ? [s.drum?.name, s.frontDrum?.name] : [])),
  );
  for (const section of line.sections) {
    if (isBorder(section)) {
      // The undriven roller of an S-wrap or the drum of a winder belongs to the section that holds the tension.
      if (from !== undefined) zones.push({ from, to: section, rollers, tension });
      from = section;
      tension = section.tensionAfter;
      rollers = [];
      continue;
    }
    if (from === undefined) from = section;
    for (const roller of section.rollers) if (!drums.has(roller.name)) rollers.push({ section, roller });
    if (section.tensionAfter !== undefined && rollers.length === 0) tension = section.tensionAfter;
  }
  return zones;
}

function budgetOf({ from, to, rollers, tension }: ZoneRollers, context: Context): TensionZone {
  const { width } = context;
  const start = tension === undefined || width === undefined ? undefined : tension * width;
  let before: Band | undefined = start === undefined ? undefined : { low: start, high: start };
  const tugs: RollerTug[] = [];
  for (const { section, roller } of rollers) {
    const tug = rollerTug(section, roller, before, context);
    tugs.push(tug);
    if (before !== undefined && tug.drag !== undefined)
      before = { low: before.low + tug.drag.low, high: before.high + tug.drag.high };
  }
  const zone = {
    from: from.name,
    to: to.name,
    ...(start !== undefined && { tension: start }),
    drag: {
      low: sum(tugs.map((t) => t.drag?.low)),
      high: sum(tugs.map((t) => t.drag?.high)),
    },
    inertia: sum(tugs.map((t) => t.inertia)),
    unknown: tugs.filter((t) => t.drag === undefined || t.inertia === undefined).map((t) => t.name),
  };
  return { ...zone, rollers: judge(tugs, zone, context) };
}

const sum = (values: readonly (number | undefined)[]): number =>
  values.reduce<number>((a, b) => a + (b ?? 0), 0);

function rollerTug(section: Section, roller: Roller, before: Band | undefined, context: Context): RollerTug {
  const { top, acceleration, stop, width } = context;
  const isHelped = roller.drive !== undefined;
  const wrap = context.wraps.get(roller.name);
  const base = {
    name: roller.name,
    section: section.name,
    pointer: section.pointer,
    carrier: isHelped ? ('helper drive' as const) : ('web' as const),
    ...(wrap !== undefined && Number.isFinite(wrap) && { wrap }),
    ...(before && { tensionBefore: before }),
    verdict: isHelped ? ('driven' as const) : ('carried by the web' as const),
    reasons: [],
  };
  const { radius } = roller;
  if (radius === undefined)
    return { ...base, points: [], verdict: 'not known', reasons: ['its diameter is not stated'] };
  const pull = before === undefined || wrap === undefined ? 0 : webLoad(before.high, before.high, wrap);
  const load = pull + (roller.mass ?? 0) * gravity;
  const rise = (v: Speed, a: Acceleration): Band | undefined =>
    rollerRise(roller, radius, v, a, load, isHelped);
  const points = speedShares.flatMap((share) =>
    [0, acceleration, -stop].map((a): TugPoint => {
      const band = rise(share * top, a);
      return { speed: share * top, acceleration: a, ...(band && { rise: band }) };
    }),
  );
  const drag = rise(top, 0);
  const inertia = isHelped
    ? 0
    : roller.inertia === undefined
      ? undefined
      : (roller.inertia.value * acceleration) / radius ** 2;
  const rolled = { ...base, points, ...(drag && { drag }), ...(inertia !== undefined && { inertia }) };
  if (isHelped) return rolled;
  const traction =
    before === undefined ||
    drag === undefined ||
    inertia === undefined ||
    wrap === undefined ||
    width === undefined
      ? {}
      : tractionOf(roller, radius, wrap, before, drag, inertia, width, context);
  const torque = rollerDrag(roller, radius, top, load);
  const accelerating = ((roller.inertia?.value ?? 0) * acceleration) / radius;
  const omega = top / radius;
  return {
    ...rolled,
    ...traction,
    ...(torque &&
      roller.inertia && {
        helper: {
          torque: { low: torque.low + accelerating, high: torque.high + accelerating },
          ...(roller.breakaway !== undefined && { start: roller.breakaway }),
          power: { low: (torque.low + accelerating) * omega, high: (torque.high + accelerating) * omega },
        },
      }),
  };
}

function tractionOf(
  roller: Roller,
  radius: Length,
  wrap: number,
  before: Band,
  drag: Band,
  inertia: number,
  width: Length,
  { top, options }: Context,
): Pick<RollerTug, 'frictionNeeded' | 'friction' | 'reserve' | 'accelerationBeforeSlip'> {
  const { web } = options;
  const massPerLength =
    web?.density === undefined || web.caliper === undefined ? 0 : web.density * web.caliper * width;
  const low = pressingTension(before.low, massPerLength, top);
  const high = pressingTension(before.low + drag.high + Math.max(0, inertia), massPerLength, top);
  const needed = low > 0 ? frictionNeeded(low, high, wrap) : Number.POSITIVE_INFINITY;
  const stated = roller.friction ?? web?.frictionOnRoller;
  if (stated === undefined) return Number.isFinite(needed) ? { frictionNeeded: needed } : {};
  const rough = roller.roughness !== undefined && web?.roughness !== undefined;
  const film =
    roller.grooved || web?.permeable === true || !rough ? 0 : airFilm(radius, top, top, before.low / width);
  const friction =
    film === 0
      ? stated
      : frictionWithAir(
          stated,
          film,
          combinedRoughness(roller.roughness as number, web?.roughness as number),
        );
  return {
    ...(Number.isFinite(needed) && { frictionNeeded: needed }),
    friction,
    // With nothing to hold there is all reserve.
    reserve: needed === 0 ? Number.POSITIVE_INFINITY : friction / needed,
    ...(roller.inertia && {
      accelerationBeforeSlip: accelerationBeforeSlip(
        friction,
        wrap,
        low,
        drag.high * radius,
        radius,
        roller.inertia.value,
      ),
    }),
  };
}

/** Marks the rollers that need a drive: those that slip, and the heaviest of a zone that asks too much as a whole. */
function judge(
  tugs: readonly RollerTug[],
  zone: Pick<TensionZone, 'tension' | 'drag' | 'inertia'>,
  { criteria, units }: Context,
): RollerTug[] {
  const reasons = new Map<string, string[]>(tugs.map((t) => [t.name, [...t.reasons]]));
  const { tension } = zone;
  const percent = (x: number): string => `${formatNumber(100 * x, 2)} %`;
  for (const t of tugs)
    if (t.carrier === 'web' && t.reserve !== undefined && t.reserve < criteria.reserve)
      reasons
        .get(t.name)
        ?.push(
          t.reserve < 1
            ? `the web slips on it while speeding up at top speed: the friction that is there${t.friction === 0 ? ', on an air film,' : ''} is ${percent(t.reserve)} of what it needs`
            : `the friction that is there is only ${formatNumber(t.reserve, 3)} times what it needs, below ${criteria.reserve}`,
        );
  const heaviest = (of: (t: RollerTug) => number, allowed: number, words: (t: RollerTug) => string): void => {
    let left = sum(tugs.map((t) => (t.carrier === 'web' ? of(t) : 0)));
    for (const t of tugs.filter((x) => x.carrier === 'web').sort((a, b) => of(b) - of(a))) {
      if (left <= allowed || of(t) <= 0) break;
      reasons.get(t.name)?.push(words(t));
      left -= of(t);
    }
  };
  if (tension !== undefined) {
    heaviest(
      (t) => t.drag?.high ?? 0,
      criteria.dragShare * tension,
      (t) =>
        `drag in its zone takes up to ${percent(zone.drag.high / tension)} of the tension, and ${formatQuantity(t.drag?.high ?? 0, 'tension', units)} of it is its own`,
    );
    heaviest(
      (t) => t.inertia ?? 0,
      criteria.accelerationShare * tension,
      (t) =>
        `speeding up takes ${percent(zone.inertia / tension)} of the tension in its zone, and ${formatQuantity(t.inertia ?? 0, 'tension', units)} of it is its own`,
    );
  }
  return tugs.map((t) => {
    const why = reasons.get(t.name) as string[];
    if (t.carrier === 'helper drive') return t;
    if (t.verdict !== 'not known' && why.length > 0)
      return { ...t, verdict: 'needs a helper drive', reasons: why };
    const missing = [
      ...(t.drag === undefined ? ['drag'] : []),
      ...(t.inertia === undefined ? ['inertia'] : []),
      ...(t.tensionBefore === undefined ? ['tension of its zone'] : []),
      ...(t.wrap === undefined ? ['wrap'] : []),
      ...(t.reserve === undefined &&
      t.drag !== undefined &&
      t.tensionBefore !== undefined &&
      t.wrap !== undefined &&
      t.inertia !== undefined
        ? ['friction']
        : []),
    ];
    if (missing.length === 0 || t.verdict === 'not known') return { ...t, reasons: why };
    return { ...t, verdict: 'not known', reasons: [`not known: ${missing.join(', ')}`] };
  });
}

function findingsOf(zone: TensionZone, { options, width, units }: Context): Finding[] {
  const findings: Finding[] = [];
  for (const t of zone.rollers) {
    if (t.verdict !== 'needs a helper drive') continue;
    const helper =
      t.helper === undefined
        ? ''
        : `; it must give ${formatQuantity(t.helper.torque.high, 'torque', units)} and ${formatQuantity(t.helper.power.high, 'power', units)} at the roller`;
    const slips = t.reserve !== undefined && t.reserve < 1;
    findings.push({
      code: slips ? 'traction_lost' : 'helper_needed',
      severity: 'warn',
      message: `${t.name} needs a helper drive: ${t.reasons.join('; ')}${helper}`,
      where: { pointer: t.pointer, section: t.section },
      next: slips
        ? 'a web that lets air through, or a grooved roller, holds better: state web.permeable or grooved if so; else give it a drive, more wrap or grooves, or accelerate more slowly'
        : 'measure its drag by a coast-down; if it stays so, give it a drive or lighter bearings',
    });
  }
  if (zone.tension !== undefined && width !== undefined && zone.unknown.length === 0) {
    const after = {
      low: (zone.tension + zone.drag.low) / width,
      high: (zone.tension + zone.drag.high) / width,
    };
    const { lowestTension, highestTension } = options;
    if (
      (lowestTension !== undefined && after.low < lowestTension) ||
      (highestTension !== undefined && after.high > highestTension)
    )
      findings.push({
        code: 'zone_tension_outside_window',
        severity: 'warn',
        message: `from ${zone.from} to ${zone.to} the tension grows to ${formatQuantity(after.high, 'tensionPerWidth', units)}, outside the window of the product`,
        where: { section: zone.to },
        next: 'lower the drag in this zone, drive its heaviest roller, or hold less tension at its beginning',
      });
  }
  return findings;
}
