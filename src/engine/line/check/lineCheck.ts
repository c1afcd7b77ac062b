import type { Finding, FindingCode } from '../../findings.js';
import { formatQuantity } from '../../units/format.js';
import type { UnitSystem } from '../../units/quantity.js';
import { type Line, type Section, type Unwind, type Winder, webRollers } from '../line.js';
import { lineCircles, missingPlace, rollIndex, rollMove } from '../linePath.js';
import { type PathOverBuild, pathOverBuild } from '../path/overBuild.js';
import { type PathProblem, problemWords } from '../path/problem.js';
import { type WebPath, webPath } from '../path/webPath.js';
import { type LineLoad, lineLoads } from './loads.js';

/** What a line is as described: its web path as drawn and over the build of its rolls, and what keeps it from running so. */
export interface LineCheck {
  /** Undefined while a roller of the path is not placed. */
  readonly path?: WebPath;
  readonly overBuild: readonly { readonly section: string; readonly path: PathOverBuild }[];
  /** Forces and tensions of load cells, dancers and carriages, where the line states enough. */
  readonly loads: readonly LineLoad[];
  readonly findings: readonly Finding[];
}

/** Radii over the build of a roll at which its path is looked at. */
const radiiOverBuild = 25;

/** Checks the geometry of a line and says what of its mechanics is not known yet [m, rad]. Source: docs/models/web-path.md. */
export function checkLine(line: Line, units: UnitSystem = 'si'): LineCheck {
  const circles = lineCircles(line);
  const findings: Finding[] = [];
  const overBuild: { section: string; path: PathOverBuild }[] = [];
  if (circles === undefined) {
    for (const section of line.sections)
      for (const roller of section.rollers) {
        const missing = missingPlace(roller);
        if (missing.length > 0) findings.push(placeMissing(section, roller.name, missing));
      }
    return {
      overBuild,
      loads: lineLoads(line, undefined),
      findings: [...findings, ...mechanicsMissing(line)],
    };
  }
  const path = webPath(circles.circles, circles);
  const seen = new Set<string>();
  const add = (problem: PathProblem, at: string): void => {
    const words = problemWords(problem, units);
    const key = JSON.stringify({ ...problem, at: 0, missing: 0, depth: 0, clearance: 0, wrap: 0 });
    if (seen.has(key)) return;
    seen.add(key);
    findings.push({
      code: codes[problem.kind],
      severity: 'refuse',
      message: `${words.message}${at}`,
      where: placeOf(problem, line),
      next: words.next,
    });
  };
  for (const problem of path.problems) add(problem, '');
  for (const section of line.sections) {
    if (!isRoll(section) || section.coreRadius === undefined || section.fullRadius === undefined) continue;
    const { coreRadius, fullRadius } = section;
    const radii = Array.from(
      { length: radiiOverBuild },
      (_, k) => coreRadius + ((fullRadius - coreRadius) * k) / (radiiOverBuild - 1),
    );
    const over = pathOverBuild(circles.circles, rollIndex(line, section), radii, rollMove(section, circles));
    overBuild.push({ section: section.name, path: over });
    for (const { radius, problem } of over.problems)
      add(problem, ` with "${section.name}" at a diameter of ${formatQuantity(2 * radius, 'length', units)}`);
  }
  return {
    path,
    overBuild,
    loads: lineLoads(line, path),
    findings: [...findings, ...mechanicsMissing(line)],
  };
}

const isRoll = (section: Section): section is Unwind | Winder =>
  section.kind === 'unwind' || section.kind === 'winder';

const codes: Readonly<Record<PathProblem['kind'], FindingCode>> = {
  'impossible-tangent': 'web_path_impossible',
  'wrap-too-large': 'wrap_too_large',
  overlap: 'rollers_overlap',
  'span-through-roller': 'web_path_blocked',
  'spans-cross': 'web_path_crossing',
  'roll-between-drums': 'roll_between_drums',
};

/** The section that the problem is to be mended at: the later one of two. */
function placeOf(problem: PathProblem, line: Line): Finding['where'] {
  const names =
    'name' in problem
      ? [problem.name]
      : 'names' in problem
        ? problem.names
        : 'roller' in problem
          ? [problem.roller]
          : 'roll' in problem
            ? [problem.roll]
            : 'first' in problem
              ? problem.second
              : [problem.from, problem.to];
  const name = names[names.length - 1] as string;
  const section =
    line.sections.find((s) => s.rollers.some((r) => r.name === name)) ??
    line.sections.find((s) => s.kind === 'winder' && [s.drum, s.frontDrum].some((d) => d?.name === name));
  return { ...(section && { pointer: section.pointer, section: section.name }), rollers: [...names] };
}

const placeMissing = (section: Section, roller: string, missing: readonly string[]): Finding => ({
  code: 'geometry_missing',
  severity: 'warn',
  message: `"${roller}" has no ${missing.join(' and no ')}, so the web path is not computed`,
  where: { pointer: section.pointer, section: section.name },
  next: `state ${missing.join(', ')}`,
});

/** What is not known of the rollers, in one remark: nobody has to state it, but the budget and the torques ask for it. */
function mechanicsMissing(line: Line): Finding[] {
  const noInertia = webRollers(line).filter(
    (r) => r.inertia === undefined && r.drive?.measured?.inertia === undefined && !isRollOf(line, r.name),
  );
  const noDrag = webRollers(line).filter((r) => r.drag.known === 'unknown');
  const parts = [
    ...(noInertia.length > 0 ? [`inertia of ${names(noInertia)}`] : []),
    ...(noDrag.length > 0 ? [`drag of ${names(noDrag)}`] : []),
  ];
  if (parts.length === 0) return [];
  return [
    {
      code: 'mechanics_missing',
      severity: 'info',
      message: `not known: ${parts.join('; ')}`,
      where: {},
      next: 'state shell and bearings, or identify the drive; without them the web’s share is not computed there',
    },
  ];
}

const isRollOf = (line: Line, name: string): boolean =>
  line.sections.some((s) => isRoll(s) && s.rollers[s.rollers.length - 1]?.name === name);

const names = (rollers: readonly { readonly name: string }[]): string => {
  const shown = rollers.slice(0, 6).map((r) => r.name);
  return rollers.length > shown.length
    ? `${shown.join(', ')} and ${rollers.length - shown.length} more`
    : shown.join(', ');
};
