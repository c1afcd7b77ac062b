import { type Line, type Roller, type Section, webRollers } from './line.js';
import type { PathCircle } from './path/circle.js';
import type { RollMove } from './path/overBuild.js';
import { type WebPath, webPath } from './path/webPath.js';

/** The rollers of a line in the side view. */
export interface LineCircles {
  /** In web order. */
  readonly circles: readonly PathCircle[];
  /** Drums that the web does not run round. */
  readonly beside: readonly PathCircle[];
  /** Rollers that touch on purpose. */
  readonly contacts: readonly (readonly [string, string])[];
}

/** Keys of a roller's place that its document does not state. */
export const missingPlace = ({ centre, radius, sense }: Roller): readonly string[] => [
  ...(centre === undefined ? ['centre_m'] : []),
  ...(radius === undefined ? ['diameter_m'] : []),
  ...(sense === undefined ? ['turns'] : []),
];

const circleOf = ({ name, centre, radius, sense }: Roller, section: string): PathCircle | undefined =>
  centre === undefined || radius === undefined || sense === undefined
    ? undefined
    : { name, section, centre, radius, sense };

/** Circles of a line [m]; undefined when a roller of the web path has no place, no diameter or no sense of rotation. Source: definition. */
export function lineCircles(line: Line): LineCircles | undefined {
  const placed = line.sections.flatMap((s) => s.rollers.map((r) => circleOf(r, s.name)));
  const circles = placed.filter((c) => c !== undefined);
  if (circles.length < placed.length) return undefined;
  const named = new Set(circles.map((c) => c.name));
  const contacts: [string, string][] = [];
  const beside: PathCircle[] = [];
  for (const [k, section] of line.sections.entries()) {
    if (section.kind !== 'winder') continue;
    const roll = rollOf(section).name;
    for (const drum of [section.drum, section.frontDrum]) {
      if (drum === undefined) continue;
      // A drum that carries no web has no sense of its own for the path: it rolls on the roll.
      const circle = circleOf({ ...drum, sense: drum.sense ?? 1 }, section.name);
      if (circle === undefined) continue;
      if (!named.has(circle.name)) beside.push(circle);
      contacts.push([circle.name, roll]);
    }
    const before = line.sections[k - 1];
    if (before?.kind === 'rider' || before?.kind === 'drum')
      contacts.push([(before.rollers.at(-1) as Roller).name, roll]);
  }
  return { circles, beside, contacts };
}

/** The roll of an unwind or winder: the last of its rollers. */
export const rollOf = (section: Section): Roller => section.rollers[section.rollers.length - 1] as Roller;

/** The way of the web through a line, with its problems [m, rad]; undefined as {@link lineCircles}. Source: docs/models/web-path.md. */
export function linePath(line: Line): WebPath | undefined {
  const found = lineCircles(line);
  return found && webPath(found.circles, { beside: found.beside, contacts: found.contacts });
}

/** How the roll of a section moves what stands around it while it grows or shrinks. */
export function rollMove(section: Section, { beside, contacts }: LineCircles): RollMove {
  const roll = rollOf(section).name;
  const touching = contacts.filter((pair) => pair.includes(roll)).map(([a, b]) => (a === roll ? b : a));
  const drums = section.kind === 'winder' ? [section.drum?.name, section.frontDrum?.name] : [];
  const resting = [...new Set(touching)];
  const gives = section.kind === 'winder' && section.gives === 'roll';
  // A roll that gives way rests on its drums; whatever else touches it rides along.
  const nipWith =
    gives && drums.some((d) => d !== undefined) ? resting.filter((n) => drums.includes(n)) : resting;
  const riders = resting.filter((n) => !nipWith.includes(n));
  const moves = section.kind !== 'winder' || nipWith.length === 0 ? 'none' : gives ? 'roll' : 'roller';
  return { moves, nipWith, riders, beside, contacts };
}

/** Index of a section's roll among the rollers of the web path [1]. Source: definition. */
export const rollIndex = (line: Line, section: Section): number =>
  webRollers(line).findIndex((r) => r.name === rollOf(section).name);
