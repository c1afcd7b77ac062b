import { nearest } from '../../errors.js';
import type { Line, Roller, Section, Winder } from '../../line/line.js';
import { accumulatorCircles } from '../../line/path/accumulator.js';
import { kindKeys, type LineDocument, type RollerDocument, type SectionDocument } from './lineDocument.js';
import { lineProblem } from './problem.js';
import { type LineSources, noSources } from './sources.js';
import { toRoller } from './toRoller.js';

/**
 * The line as the engine computes with it: radii, SI, references resolved, nothing filled in. The document has passed its schema.
 * @throws TautlineError document_value, document_reference, document_duplicate_name, each with the pointer to its place
 */
export function toLine(document: LineDocument, sources: LineSources = noSources): Line {
  requireUniqueNames(document.sections);
  const context: Context = { document, sources, done: new Map() };
  const sections = document.sections.map((section, k) => toSection(section, k, context));
  return {
    name: document.name,
    invented: document.invented === true,
    webWidth: document.web_width_m,
    ...(document.speed && {
      speed: {
        top: document.speed.top_m_per_s,
        acceleration: document.speed.acceleration_m_per_s2,
        stop: document.speed.stop_m_per_s2,
        emergencyStopTime: document.speed.emergency_stop_s,
        standstill: document.speed.standstill_s,
      },
    }),
    sections,
  };
}

interface Context {
  readonly document: LineDocument;
  readonly sources: LineSources;
  /** Sections before this one by name. */
  readonly done: Map<string, Section>;
}

function requireUniqueNames(sections: readonly SectionDocument[]): void {
  const first = new Map<string, number>();
  sections.forEach(({ name }, k) => {
    const before = first.get(name);
    if (before !== undefined)
      throw lineProblem(
        'document_duplicate_name',
        `sections.${k}.name`,
        name,
        `two sections are called "${name}", the ${ordinal(before)} and the ${ordinal(k)}`,
        'give every section a name of its own',
      );
    first.set(name, k);
  });
}

const ordinal = (k: number): string => {
  const n = k + 1;
  const tail = n % 100 >= 11 && n % 100 <= 13 ? 'th' : (['th', 'st', 'nd', 'rd'][n % 10] ?? 'th');
  return `${n}${tail}`;
};

function toSection(stated: SectionDocument, index: number, context: Context): Section {
  const pointer = `sections.${index}`;
  requireKeysOfKind(stated, pointer);
  requireRollInside(stated, pointer);
  const section = { ...stated, ...likeAnother(stated, pointer, context) };
  const roller = (document: RollerDocument, name: string, at: string): Roller =>
    toRoller(document, {
      name,
      pointer: at,
      webWidth: context.document.web_width_m,
      sources: context.sources,
    });
  const base = {
    name: stated.name,
    pointer,
    ...(stated.tension_N_per_m !== undefined && { tensionAfter: stated.tension_N_per_m }),
  };
  const own = (): Roller => roller(section, stated.name, pointer);
  const made = ((): Section => {
    switch (stated.kind) {
      case 'pull-roll': {
        const more = stated.rollers ?? [];
        const first = more.length === 0 ? own() : roller(section, `${stated.name} 1`, pointer);
        return {
          ...base,
          kind: 'pull-roll',
          rollers: [
            first,
            ...more.map((r, k) => roller(r, `${stated.name} ${k + 2}`, `${pointer}.rollers.${k}`)),
          ],
          ...(stated.nip_force_N_per_m !== undefined && {
            nip: { force: stated.nip_force_N_per_m, friction: stated.nip_friction },
          }),
        };
      }
      case 'dancer':
        return { ...base, kind: 'dancer', rollers: [own()], force: stated.force_N };
      case 'accumulator':
        return accumulator(stated, base, own());
      case 'unwind':
        return { ...base, kind: 'unwind', rollers: [own()], ...rollSizes(stated) };
      case 'winder':
        return winder(stated, base, own(), pointer, context, roller);
      default:
        return { ...base, kind: stated.kind, rollers: [own()] };
    }
  })();
  context.done.set(made.name, made);
  return made;
}

function requireKeysOfKind(section: SectionDocument, pointer: string): void {
  for (const key of Object.keys(section)) {
    const kinds = kindKeys[key];
    if (kinds === undefined || kinds.includes(section.kind)) continue;
    throw lineProblem(
      'document_unknown_key',
      `${pointer}.${key}`,
      key,
      `${section.name}: a section of kind ${section.kind} has no ${key}; it belongs to ${kinds.join(', ')}`,
      'correct the kind or take the key out',
    );
  }
}

function requireRollInside(section: SectionDocument, pointer: string): void {
  const { core_diameter_m: core, full_diameter_m: full, diameter_m: drawn, name } = section;
  if (core === undefined) return;
  for (const [key, value] of [
    ['full_diameter_m', full],
    ['diameter_m', drawn],
  ] as const)
    if (value !== undefined && value < core)
      throw lineProblem(
        'document_value',
        `${pointer}.${key}`,
        value,
        `${name}: a core of ${core} m does not fit into a roll of ${value} m`,
        `correct core_diameter_m or ${key}`,
      );
}

/** Mechanics of the section that this one is built like; what this one states itself counts before them. */
function likeAnother(
  stated: SectionDocument,
  pointer: string,
  { document }: Context,
): Partial<RollerDocument> {
  const inherited: Record<string, unknown> = {};
  const seen = [stated.name];
  let at: RollerDocument = stated;
  while (at.like !== undefined) {
    const like = at.like;
    const found = document.sections.find((s) => s.name === like);
    if (found === undefined)
      throw lineProblem(
        'document_reference',
        `${pointer}.like`,
        like,
        `${stated.name}: no section is called "${like}"`,
        nearestName(
          like,
          document.sections.map((s) => s.name),
        ),
      );
    if (seen.includes(like))
      throw lineProblem(
        'document_reference',
        `${pointer}.like`,
        like,
        `${stated.name}: "like" goes round in a circle, ${[...seen, like].join(' → ')}`,
        'let one of these sections state its mechanics itself',
      );
    seen.push(like);
    for (const key of mechanics) if (found[key] !== undefined) inherited[key] ??= found[key];
    at = found;
  }
  for (const key of mechanics) if (stated[key] !== undefined) inherited[key] = stated[key];
  return inherited;
}

/** What "like" takes over; place, sense of rotation and drive are every section's own. */
const mechanics = [
  'diameter_m',
  'face_width_m',
  'inertia_kgm2',
  'shell',
  'bearings',
  'drag',
  'breakaway_Nm',
  'friction',
  'roughness_m',
  'grooved',
] as const satisfies readonly (keyof RollerDocument)[];

const nearestName = (name: string, known: readonly string[]): string =>
  `write ${nearest(name, known)}, or one of ${known.join(', ')}`;

const rollSizes = (
  s: SectionDocument,
): { coreRadius?: number; fullRadius?: number; coreInertia?: number } => ({
  ...(s.core_diameter_m !== undefined && { coreRadius: 0.5 * s.core_diameter_m }),
  ...(s.full_diameter_m !== undefined && { fullRadius: 0.5 * s.full_diameter_m }),
  ...(s.core_inertia_kgm2 !== undefined && { coreInertia: s.core_inertia_kgm2 }),
});

function accumulator(
  stated: SectionDocument,
  base: { name: string; pointer: string },
  roller: Roller,
): Section {
  const { strands, pitch_m: pitch, carriage_height_m: height } = stated;
  if (strands === undefined || pitch === undefined || height === undefined)
    throw lineProblem(
      'document_value',
      base.pointer,
      stated.name,
      `${stated.name}: an accumulator has strands, a pitch and a carriage height`,
      'state strands, pitch_m and carriage_height_m',
    );
  if (strands % 2 !== 0)
    throw lineProblem(
      'document_value',
      `${base.pointer}.strands`,
      strands,
      `${stated.name}: ${strands} strands would let the web leave at the carriage`,
      'state an even number of strands',
    );
  const { centre, radius } = roller;
  const circles =
    centre === undefined || radius === undefined
      ? undefined
      : accumulatorCircles(
          { name: stated.name, entry: centre, pitch, strands, fixedRadius: radius, carriageRadius: radius },
          height,
        );
  const rollers = Array.from({ length: strands + 1 }, (_, k): Roller => {
    const circle = circles?.[k];
    return circle === undefined
      ? { ...roller, name: `${stated.name} ${k + 1}` }
      : { ...roller, name: circle.name, centre: circle.centre, sense: circle.sense };
  });
  return {
    ...base,
    kind: 'accumulator',
    rollers,
    strands,
    carriageHeight: height,
    ...(stated.carriage_mass_kg !== undefined && { carriageMass: stated.carriage_mass_kg }),
  };
}

function winder(
  stated: SectionDocument,
  base: { name: string; pointer: string },
  roll: Roller,
  pointer: string,
  { document, done }: Context,
  roller: (document: RollerDocument, name: string, pointer: string) => Roller,
): Winder {
  const { type } = stated;
  if (type === undefined)
    throw lineProblem(
      'document_value',
      pointer,
      stated.name,
      `${stated.name}: a winder states where its torque enters`,
      'state type: centre, surface, centre-surface or two-drum',
    );
  const allowed = {
    centre: [],
    surface: ['drum'],
    'centre-surface': ['drum'],
    'two-drum': ['rear_drum', 'front_drum'],
  };
  for (const key of ['drum', 'rear_drum', 'front_drum'] as const)
    if (stated[key] !== undefined && !(allowed[type] as string[]).includes(key))
      throw lineProblem(
        'document_unknown_key',
        `${pointer}.${key}`,
        key,
        `${stated.name}: a ${type} winder has no ${key}`,
        allowed[type].length === 0
          ? 'correct the type or take the key out'
          : `state ${allowed[type].join(' and ')}`,
      );
  const drumOf = (
    key: 'drum' | 'rear_drum' | 'front_drum',
  ): { roller: Roller; inPath: boolean } | undefined => {
    const reference = stated[key];
    if (reference === undefined) return undefined;
    if (typeof reference !== 'string')
      return {
        roller: roller(reference, `${stated.name} ${key.replace('_', ' ')}`, `${pointer}.${key}`),
        inPath: false,
      };
    const section = done.get(reference);
    if (section !== undefined) return { roller: section.rollers[section.rollers.length - 1], inPath: true };
    const isLater = document.sections.some((s) => s.name === reference);
    throw lineProblem(
      'document_reference',
      `${pointer}.${key}`,
      reference,
      isLater
        ? `${stated.name}: the web comes to "${reference}" only after the winder`
        : `${stated.name}: no section is called "${reference}"`,
      isLater
        ? 'list the drum before the winder, or state it in place'
        : nearestName(
            reference,
            document.sections.map((s) => s.name),
          ),
    );
  };
  const drum = drumOf(type === 'two-drum' ? 'rear_drum' : 'drum');
  const front = drumOf('front_drum');
  return {
    ...base,
    kind: 'winder',
    type,
    ...rollSizes(stated),
    // A drum that is stated in place and has a place of its own lies in the path before the roll.
    rollers:
      drum !== undefined && !drum.inPath && drum.roller.centre !== undefined ? [drum.roller, roll] : [roll],
    ...(drum && { drum: drum.roller }),
    ...(front && { frontDrum: front.roller }),
    gives: stated.gives ?? (type === 'surface' || type === 'two-drum' ? 'roll' : 'roller'),
  };
}
