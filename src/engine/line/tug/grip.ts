import type { Finding } from '../../findings.js';
import { formatQuantity } from '../../units/format.js';
import type { Length, Speed, Tension, TensionPerWidth, UnitSystem } from '../../units/quantity.js';
import { capstanRatio } from '../../web/traction.js';
import type { Web } from '../../web/web.js';
import type { Line, Roller, Section } from '../line.js';
import { filmUnder, frictionUnder, pressing, statedFriction } from './rollerTraction.js';
import type { Band, SectionGrip } from './types.js';

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

/** What a line is at top speed, as far as the grip of its sections asks. */
export interface GripCase {
  readonly wraps: ReadonlyMap<string, number>;
  readonly width: Length;
  readonly speed: Speed;
  readonly web?: Partial<Web>;
  /** Tension that comes to a section at top speed while the line runs, speeds up or stops [N], as far as it is known. */
  readonly arriving: ReadonlyMap<string, Band>;
}

/**
 * Grip of every pull roll and dryer whose tensions, wraps and friction are known, at the worst end of the tension that comes to it [N]; wraps as
 * drawn. An air film counts where no nip presses it out. Source: {@link stepBeforeSlip}.
 */
export const sectionGrips = (line: Line, of: GripCase): SectionGrip[] =>
  line.sections.flatMap((section): SectionGrip[] => {
    const holds = section.kind === 'pull-roll' || section.kind === 'dryer';
    const arriving = of.arriving.get(section.name);
    if (!holds || arriving === undefined || section.tensionAfter === undefined) return [];
    const held = section.tensionAfter * of.width;
    const ends = [arriving.low, arriving.high].map((up) => gripAt(section, up, held, of));
    const [worst] = ends.filter((g) => g !== undefined).sort((a, b) => a.grip - a.step - (b.grip - b.step));
    return worst === undefined ? [] : [worst];
  });

function gripAt(section: Section, up: Tension, held: Tension, of: GripCase): SectionGrip | undefined {
  const low = Math.max(0, Math.min(up, held));
  const nip = section.kind === 'pull-roll' ? section.nip : undefined;
  const wrapped = frictionTimesWrap(section, low, nip !== undefined, of);
  if (wrapped === undefined) return undefined;
  const nipFriction = nip?.friction ?? statedFriction(section.rollers[0] as Roller, of.web) ?? 0;
  return {
    section: section.name,
    pointer: section.pointer,
    step: Math.abs(held - up),
    grip: stepBeforeSlip(low, wrapped, nipFriction, nip?.force ?? 0, of.width),
  };
}

function frictionTimesWrap(
  section: Section,
  low: Tension,
  isNipped: boolean,
  { wraps, width, speed, web }: GripCase,
): number | undefined {
  let sum = 0;
  for (const roller of section.rollers) {
    const wrap = wraps.get(roller.name);
    const stated = statedFriction(roller, web);
    if (wrap === undefined || stated === undefined || roller.radius === undefined) return undefined;
    const film = isNipped
      ? 0
      : filmUnder(roller, roller.radius, speed, pressing(low, speed, width, web), width, web);
    sum += frictionUnder(stated, film, roller, web) * wrap;
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
