import type { Finding } from '../../findings.js';
import { formatQuantity } from '../../units/format.js';
import type { Length, Tension, TensionPerWidth, UnitSystem } from '../../units/quantity.js';
import { capstanRatio } from '../../web/traction.js';
import type { Web } from '../../web/web.js';
import type { Line, Section } from '../line.js';

/** What a section that holds a step of tension can hold, against what it has to. */
export interface SectionGrip {
  readonly section: string;
  readonly pointer: string;
  /** Difference of the tensions on its two sides [N]. */
  readonly step: Tension;
  /** Largest step before the web slips on it [N]. */
  readonly grip: Tension;
}

/**
 * Largest step of tension that a wrapped and nipped roller holds, T_low·(exp(Σμ·β) − 1) + μ_n·N·W [N]. T_low the smaller tension [N], Σμ·β friction times
 * wrap over all its rollers [rad], μ_n friction in the nip [1], N nip force per width [N/m], W width [m]. Source: Euler-Eytelwein and Coulomb.
 */
export const stepBeforeSlip = (
  low: Tension,
  frictionTimesWrap: number,
  nipFriction: number,
  nip: TensionPerWidth,
  width: Length,
): Tension => low * (capstanRatio(frictionTimesWrap, 1) - 1) + nipFriction * nip * width;

/**
 * Grip of every pull roll and dryer whose tensions, wraps and friction are known [N]; wraps as drawn, no air film: a nip presses it out, and on a wrap
 * alone it is the budget's part. Source: {@link stepBeforeSlip}.
 */
export function sectionGrips(
  line: Line,
  wraps: ReadonlyMap<string, number>,
  width: Length | undefined,
  web: Partial<Web> | undefined,
): SectionGrip[] {
  if (width === undefined) return [];
  let before: TensionPerWidth | undefined;
  return line.sections.flatMap((section) => {
    const up = before;
    before = section.tensionAfter ?? before;
    const holds = section.kind === 'pull-roll' || section.kind === 'dryer';
    if (!holds || up === undefined || section.tensionAfter === undefined) return [];
    const wrapped = frictionTimesWrap(section, wraps, web);
    if (wrapped === undefined) return [];
    const nip = section.kind === 'pull-roll' ? section.nip : undefined;
    const low = Math.min(up, section.tensionAfter) * width;
    return [
      {
        section: section.name,
        pointer: section.pointer,
        step: Math.abs(section.tensionAfter - up) * width,
        grip: stepBeforeSlip(
          low,
          wrapped,
          nip?.friction ?? web?.frictionOnRoller ?? 0,
          nip?.force ?? 0,
          width,
        ),
      },
    ];
  });
}

function frictionTimesWrap(
  section: Section,
  wraps: ReadonlyMap<string, number>,
  web: Partial<Web> | undefined,
): number | undefined {
  let sum = 0;
  for (const roller of section.rollers) {
    const wrap = wraps.get(roller.name);
    const friction = roller.friction ?? web?.frictionOnRoller;
    if (wrap === undefined || friction === undefined || !Number.isFinite(wrap)) return undefined;
    sum += friction * wrap;
  }
  return sum;
}

/** A section that cannot hold its step of tension, as a finding; none while it can. Source: definition [N]. */
export const gripFinding = ({ section, pointer, step, grip }: SectionGrip, units: UnitSystem): Finding[] =>
  step <= grip
    ? []
    : [
        {
          code: 'pull_roll_slips',
          severity: 'refuse',
          message: `${section} has to hold a step of ${formatQuantity(step, 'tension', units)} between the tensions on its sides; the web slips from ${formatQuantity(grip, 'tension', units)} on`,
          where: { pointer, section },
          next: 'raise the nip force or the wrap, or bring the two tensions closer together',
        },
      ];
