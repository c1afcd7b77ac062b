import { gapBetween, type PathCircle, type Sense } from '../../line/path/circle.js';
import { contactAllowance } from '../../line/path/contacts.js';
import { type PathProblem, problemWords } from '../../line/path/problem.js';
import type { WebPath } from '../../line/path/webPath.js';
import { formatQuantity } from '../../units/format.js';
import type { Angle, UnitSystem } from '../../units/quantity.js';
import type {
  CircleLook,
  DrawnArc,
  DrawnCarriage,
  DrawnCircle,
  DrawnLabel,
  DrawnProblem,
  DrawnSpan,
  DrawnState,
  LineDrawing,
} from './model.js';

export interface DrawingOptions {
  readonly id: string;
  readonly title: string;
  readonly system: UnitSystem;
  readonly look: (circle: PathCircle) => CircleLook;
  /** As for webPath. */
  readonly beside?: readonly PathCircle[];
  readonly contacts?: readonly (readonly [string, string])[];
  /** Name of the section that is lit. */
  readonly selected?: string;
  /** Wraps and span lengths as small labels. */
  readonly hasDetails?: boolean;
}

/** The side view of a web path: rollers, web, marks and problems, ready to be rendered. */
export function lineDrawing(
  circles: readonly PathCircle[],
  path: WebPath,
  options: DrawingOptions,
): LineDrawing {
  const { system } = options;
  const all = [...circles, ...(options.beside ?? [])];
  const looks = new Map(all.map((c) => [c.name, options.look(c)] as const));
  const lookOf = (c: PathCircle): CircleLook => looks.get(c.name) ?? { role: 'roller' };
  const troubled = troubledBy(path.problems);
  const stateOf = (c: PathCircle): DrawnState =>
    troubled.circles.has(c.name) ? 'abnormal' : c.section === options.selected ? 'selected' : 'normal';
  const withCarriage = new Set(all.filter((c) => lookOf(c).role === 'carriage').map((c) => c.section));

  const drawn = all.map((c, i): DrawnCircle => {
    const look = lookOf(c);
    const wrap = i > 0 && i < circles.length ? path.wraps[i - 1]?.wrap : undefined;
    const load = i < circles.length ? loadDirection(path, i) : undefined;
    const lap = look.role === 'roll' ? lapOf(c, path, i, circles.length) : undefined;
    return {
      name: c.name,
      section: c.section,
      centre: c.centre,
      radius: c.radius,
      role: look.role,
      isDriven: look.isDriven ?? false,
      state: stateOf(c),
      tip: tipOf(c, wrap, system),
      ...(look.coreRadius !== undefined && { coreRadius: look.coreRadius }),
      ...(load !== undefined && { load }),
      ...(lap && { lap }),
    };
  });

  const spans = path.spans.map((s, i): DrawnSpan => {
    const [a, b] = [circles[i] as PathCircle, circles[i + 1] as PathCircle];
    const isPossible = Number.isFinite(s.length);
    const isStrand = a.section === b.section && withCarriage.has(a.section);
    const length = formatQuantity(s.length, 'webLength', system);
    return {
      start: isPossible ? s.start : a.centre,
      end: isPossible ? s.end : b.centre,
      isPossible,
      state: troubled.spans.has(spanKey(s.from, s.to)) ? 'abnormal' : 'normal',
      tip: isPossible ? `${s.from} to ${s.to}: ${length}` : `${s.from} to ${s.to}: no web can run so`,
      ...(options.hasDetails && isPossible && !isStrand && { text: length }),
    };
  });

  const arcs = path.wraps.flatMap(({ wrap }, i): DrawnArc[] => {
    const c = circles[i + 1] as PathCircle;
    const reached = path.spans[i]?.end;
    if (!reached || !(wrap > 0)) return [];
    const from = Math.atan2(reached.y - c.centre.y, reached.x - c.centre.x);
    return [{ centre: c.centre, radius: c.radius, from, turn: c.sense * wrap, state: stateOf(c) }];
  });

  const problems = path.problems.map((p, i): DrawnProblem => {
    return { mark: `!${i + 1}`, at: p.at, ...problemWords(p, system) };
  });

  return {
    id: options.id,
    title: options.title,
    description: describe(circles, looks, path, problems, system),
    system,
    circles: drawn,
    spans,
    arcs,
    nips: nipsOf(all, options.contacts ?? []),
    carriages: carriagesOf(all.filter((c) => lookOf(c).role === 'carriage')),
    labels: labelsOf(circles, all, lookOf, stateOf, withCarriage, path, problems, options),
    problems,
  };
}

const spanKey = (from: string, to: string): string => JSON.stringify([from, to]);

/** Which circles and spans a list of problems is about. */
function troubledBy(problems: readonly PathProblem[]): { circles: Set<string>; spans: Set<string> } {
  const circles = new Set<string>();
  const spans = new Set<string>();
  for (const p of problems)
    switch (p.kind) {
      case 'impossible-tangent':
        spans.add(spanKey(p.from, p.to));
        circles.add(p.from).add(p.to);
        break;
      case 'wrap-too-large':
        circles.add(p.name);
        break;
      case 'overlap':
        circles.add(p.names[0]).add(p.names[1]);
        break;
      case 'span-through-roller':
        spans.add(spanKey(p.from, p.to));
        circles.add(p.roller);
        break;
      case 'spans-cross':
        spans.add(spanKey(...p.first)).add(spanKey(...p.second));
        break;
      case 'roll-between-drums':
        circles.add(p.roll);
        break;
    }
  return { circles, spans };
}

/** Direction of the sum of both sides' tension: back along the span before, on along the span after. */
function loadDirection(path: WebPath, index: number): Angle | undefined {
  const before = path.spans[index - 1]?.heading;
  const after = path.spans[index]?.heading;
  if (before === undefined || after === undefined) return undefined;
  const x = Math.cos(after) - Math.cos(before);
  const y = Math.sin(after) - Math.sin(before);
  return Math.hypot(x, y) > 1e-6 ? Math.atan2(y, x) : undefined;
}

/** A winder's outer lap runs on in the sense of rotation from where the web arrives, an unwind's back from where it leaves. */
function lapOf(c: PathCircle, path: WebPath, index: number, count: number): DrawnCircle['lap'] {
  const isFirst = index === 0;
  const touch = isFirst ? path.spans[0]?.start : index === count - 1 ? path.spans.at(-1)?.end : undefined;
  if (!touch || Number.isNaN(touch.x)) return { from: 0, sense: c.sense };
  const from = Math.atan2(touch.y - c.centre.y, touch.x - c.centre.x);
  return { from, sense: isFirst ? (-c.sense as Sense) : c.sense };
}

const wholeDegrees = (angle: Angle): string => `${Math.round((angle * 180) / Math.PI)}°`;

function tipOf(c: PathCircle, wrap: Angle | undefined, system: UnitSystem): string {
  const diameter = `diameter ${formatQuantity(2 * c.radius, 'length', system)}`;
  const turns = c.sense === 1 ? 'turns counter-clockwise' : 'turns clockwise';
  const wrapped = wrap !== undefined && Number.isFinite(wrap) ? [`wrap ${wholeDegrees(wrap)}`] : [];
  return [c.name, diameter, turns, ...wrapped].join(', ');
}

function nipsOf(
  all: readonly PathCircle[],
  contacts: readonly (readonly [string, string])[],
): LineDrawing['nips'] {
  const named = new Map(all.map((c) => [c.name, c]));
  return contacts.flatMap(([one, other]) => {
    const a = named.get(one);
    const b = named.get(other);
    // A nip that stands open is no nip in this picture.
    if (!a || !b || gapBetween(a, b) > contactAllowance) return [];
    const along = Math.atan2(b.centre.y - a.centre.y, b.centre.x - a.centre.x);
    const at = {
      x: a.centre.x + a.radius * Math.cos(along),
      y: a.centre.y + a.radius * Math.sin(along),
    };
    return [{ at, along }];
  });
}

function carriagesOf(rollers: readonly PathCircle[]): DrawnCarriage[] {
  const bySection = new Map<string, PathCircle[]>();
  for (const c of rollers) bySection.set(c.section, [...(bySection.get(c.section) ?? []), c]);
  return [...bySection].map(([section, list]) => ({
    section,
    from: (list[0] as PathCircle).centre,
    to: (list.at(-1) as PathCircle).centre,
  }));
}

function labelsOf(
  circles: readonly PathCircle[],
  all: readonly PathCircle[],
  lookOf: (c: PathCircle) => CircleLook,
  stateOf: (c: PathCircle) => DrawnState,
  withCarriage: ReadonlySet<string>,
  path: WebPath,
  problems: readonly DrawnProblem[],
  options: DrawingOptions,
): DrawnLabel[] {
  const marks = problems.map((p): DrawnLabel => {
    return { at: p.at, radius: 0, text: p.mark, state: 'abnormal', rank: 0 };
  });
  const labelled = new Set<string>();
  const names = all.flatMap((c, i): DrawnLabel[] => {
    const look = lookOf(c);
    // The many rollers of an accumulator share one label, at the middle of the carriage.
    if (withCarriage.has(c.section)) {
      if (labelled.has(c.section) || look.role !== 'carriage') return [];
      labelled.add(c.section);
      const own = all.filter((o) => o.section === c.section && lookOf(o).role === 'carriage');
      const middle = own[Math.floor(own.length / 2)] as PathCircle;
      return [{ at: middle.centre, radius: middle.radius, text: c.section, state: stateOf(c), rank: 1 }];
    }
    const text = look.label ?? c.name;
    if (text === '') return [];
    const wrap = i < circles.length ? path.wraps[i - 1]?.wrap : undefined;
    const rank = look.role === 'roll' ? 1 : look.role === 'roller' && !look.isDriven ? 3 : 2;
    return [
      {
        at: c.centre,
        radius: c.radius,
        text,
        state: stateOf(c),
        rank,
        ...(options.hasDetails &&
          wrap !== undefined &&
          Number.isFinite(wrap) && { detail: `${wholeDegrees(wrap)} wrap` }),
      },
    ];
  });
  return [...marks, ...names];
}

/** The line in words: what is in it in web order, what is driven, what is wrong. */
function describe(
  circles: readonly PathCircle[],
  looks: ReadonlyMap<string, CircleLook>,
  path: WebPath,
  problems: readonly DrawnProblem[],
  system: UnitSystem,
): string {
  const sections = [...new Set(circles.map((c) => c.section))];
  const driven = [...looks].filter(([, l]) => l.isDriven).map(([name]) => name);
  const parts = [
    `Side view of the web path, in web order: ${sections.join(', ')}.`,
    Number.isFinite(path.length) && path.spans.length > 0
      ? `${formatQuantity(path.length, 'webLength', system)} of web from the first tangent point to the last.`
      : '',
    driven.length > 0 ? `Driven: ${driven.join(', ')}.` : '',
    ...problems.map((p) => `Problem ${p.mark.slice(1)}: ${p.message}.`),
  ];
  return parts.filter((p) => p !== '').join(' ');
}
