import type { LineCheck } from '../../line/check/lineCheck.js';
import { drivenRollers, type Line, type Section } from '../../line/line.js';
import { lineCircles, rollOf } from '../../line/linePath.js';
import type { PathCircle } from '../../line/path/circle.js';
import type { UnitSystem } from '../../units/quantity.js';
import { slug } from '../escape.js';
import { lineDrawing } from './drawing.js';
import type { CircleLook, DrawnRole, LineDrawing } from './model.js';

/** The side view of a line as checked; undefined while a roller of the path is not placed. */
export function lineDrawingOf(
  line: Line,
  { path }: LineCheck,
  system: UnitSystem,
  options: { readonly selected?: string; readonly hasDetails?: boolean } = {},
): LineDrawing | undefined {
  const circles = lineCircles(line);
  if (circles === undefined || path === undefined) return undefined;
  const driven = new Set([...drivenRollers(line)].map((d) => d.roller.name));
  const sections = new Map(line.sections.map((s) => [s.name, s]));
  return lineDrawing(circles.circles, path, {
    id: `line-${slug(line.name)}`,
    title: line.name,
    system,
    beside: circles.beside,
    contacts: circles.contacts,
    look: (circle) => lookOf(circle, sections.get(circle.section), driven.has(circle.name)),
    hasDetails: true,
    ...options,
  });
}

function lookOf(circle: PathCircle, section: Section | undefined, isDriven: boolean): CircleLook {
  if (section === undefined) return { role: 'roller', isDriven };
  const isRoll =
    (section.kind === 'unwind' || section.kind === 'winder') && rollOf(section).name === circle.name;
  if (isRoll)
    return {
      role: 'roll',
      isDriven,
      ...('coreRadius' in section && section.coreRadius !== undefined && { coreRadius: section.coreRadius }),
    };
  return {
    role:
      circle.name.includes(' carriage ') && section.kind === 'accumulator' ? 'carriage' : roles[section.kind],
    isDriven,
  };
}

const roles: Readonly<Record<Section['kind'], DrawnRole>> = {
  unwind: 'roller',
  'pull-roll': 'roller',
  idler: 'roller',
  'driven-idler': 'roller',
  spreader: 'spreader',
  dryer: 'dryer',
  rider: 'roller',
  'load-cell': 'load-cell',
  dancer: 'dancer',
  accumulator: 'roller',
  drum: 'roller',
  winder: 'roller',
};
