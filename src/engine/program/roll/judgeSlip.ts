import type { Finding } from '../../findings.js';
import { accelerationLimit } from '../../roll/slip/accelerationLimit.js';
import { type HandlingName, rollHandling } from '../../roll/slip/handling.js';
import type { SlipMargin } from '../../roll/slip/slipMargin.js';
import type { PartRoll } from '../../roll/stress/windingInput.js';
import { formatQuantity } from '../../units/format.js';
import type { Acceleration, Ratio, UnitSystem } from '../../units/quantity.js';
import { type JLine, jLines } from './jLines.js';
import type { RollBuild } from './rollBuild.js';
import type { RollInput } from './rollInput.js';
import { isSlipping, rollStates, slipCases, type WoundPart } from './slipCases.js';
import { type SlipPlace, slipOverDiameter } from './slipOverDiameter.js';

/** What is to be said of slip between the layers of a roll. */
export interface RollSlip {
  /** For the stop when one is stated, else for winding; undefined without friction. */
  readonly slip?: SlipMargin;
  readonly slipCases: readonly { readonly name: HandlingName; readonly smallest: SlipMargin['smallest'] }[];
  /** The same at each diameter on the way, the full roll last. */
  readonly slipOverDiameter: readonly SlipPlace[];
  /** Largest deceleration of the full roll before a core-braked stop slips, web on and web broken; Infinity where it is beyond any machine. */
  readonly largestDeceleration?: { readonly webOn: Acceleration; readonly webBroken: Acceleration };
  /** What each interface of the full roll bears of a core-braked stop with its web, and after a web break; and the deceleration of the stop that is stated, where it is such a one. */
  readonly decelerationLimit?: {
    readonly webOn: Float64Array;
    readonly webBroken: Float64Array;
    readonly stated?: Acceleration;
  };
  /** Friction at its low end, which slip was judged with. */
  readonly frictionUsed?: Ratio;
  readonly jLines: readonly JLine[];
  readonly findings: readonly Finding[];
}

/** What a way of handling is called in a sentence. */
export const handlingWords: Readonly<Record<HandlingName, string>> = {
  winding: 'while winding',
  start: 'in a start',
  stop: 'in the stop, web on',
  'web break': 'in the stop, web broken',
  unwinding: 'while unwinding',
  'unwinding start': 'in a start of the unwind',
  'unwinding stop': 'in a stop of the unwind',
};

const nextSteps: Readonly<Record<HandlingName, string>> = {
  winding: 'wind tighter at that radius',
  start: 'accelerate more slowly, or wind tighter at that radius',
  stop: 'stop more slowly, brake at the surface, or wind tighter at that radius',
  'web break': 'stop more slowly, brake at the surface, or wind tighter at that radius',
  unwinding: 'unwind with less tension, or wind tighter at that radius',
  'unwinding start': 'accelerate more slowly, or wind tighter at that radius',
  'unwinding stop': 'stop the unwind more slowly, or wind tighter at that radius',
};

const pointers: Readonly<Record<HandlingName, string>> = {
  winding: 'wind.tension',
  start: 'acceleration_m_per_s2',
  stop: 'stop',
  'web break': 'stop',
  unwinding: 'unwind',
  'unwinding start': 'unwind',
  'unwinding stop': 'unwind',
};

/**
 * Slip of a roll in every way that it is handled, full and on the way there, and the lines on its side [1, m, m/s²]. `full` is the roll with the pressure that friction works on, `during` the unfinished one as it was wound, `held` takes from its pressure what friction does not get.
 * Source: docs/models/wound-roll.md, j-line.md.
 */
export function judgeSlip(
  input: RollInput,
  made: RollBuild,
  full: WoundPart,
  during: readonly PartRoll[],
  held: (pressure: Float64Array) => Float64Array,
  units: UnitSystem,
): RollSlip {
  if (!isSlipping(input))
    return {
      slipCases: [],
      slipOverDiameter: [],
      jLines: [],
      findings: [
        {
          code: 'slip_not_judged',
          severity: 'info',
          message: 'slip between layers is not judged, since friction or density of the web is not stated',
          where: { pointer: 'web' },
          next: 'state web.friction and web.density_kgm3',
        },
      ],
    };
  const states = rollStates(input, made, made.build.full);
  const { roll, friction, judged } = slipCases(input, full, states);
  const places = slipOverDiameter(input, made, full.radius, during, held);
  const wanted = judged.find((j) => j.name === 'stop') ?? judged[0];
  const bears = (name: 'stop' | 'web break') => {
    const way = rollHandling(roll, { ...states, deceleration: 1, brakedAt: 'core' }).find(
      (w) => w.name === name,
    );
    return way && accelerationLimit(roll, way, friction);
  };
  const [webOn, webBroken] = [bears('stop'), bears('web break')];
  return {
    ...(wanted && { slip: { margin: wanted.margin, smallest: wanted.smallest } }),
    slipCases: judged.map(({ name, smallest }) => ({ name, smallest })),
    slipOverDiameter: places,
    ...(webOn &&
      webBroken && {
        largestDeceleration: {
          webOn: upToAny(webOn.smallest.value),
          webBroken: upToAny(webBroken.smallest.value),
        },
        decelerationLimit: {
          webOn: webOn.limit,
          webBroken: webBroken.limit,
          ...(input.stop?.brakedAt === 'core' && { stated: input.stop.deceleration }),
        },
      }),
    frictionUsed: friction,
    jLines: jLines(input, made, full.radius, during, places),
    findings: judged.flatMap(({ name, smallest }) =>
      slipFinding(name, smallest, made.build.full, places, friction, units),
    ),
  };
}

/** No machine stops with more [m/s²]: what bears it bears any. */
const anyDeceleration = 1000;
/** A deceleration that layers bear [m/s²], Infinity where it is beyond any machine. Source: definition. */
export const upToAny = (a: Acceleration): Acceleration =>
  a > anyDeceleration ? Number.POSITIVE_INFINITY : a;

/** One finding for each way of handling that makes layers slip: of the full roll, else of the diameter where they are nearest to it. */
function slipFinding(
  name: HandlingName,
  smallest: SlipMargin['smallest'],
  full: number,
  places: readonly SlipPlace[],
  friction: Ratio,
  units: UnitSystem,
): Finding[] {
  const onTheWay = places.flatMap(({ diameter, cases }) =>
    cases
      .filter((c) => c.name === name)
      .map(({ margin, radius, slides }) => ({ margin, radius, diameter, slides })),
  );
  const least = onTheWay.reduce(
    (a, b) => (b.margin < a.margin ? b : a),
    onTheWay.at(-1) ?? { margin: smallest.value, radius: smallest.radius, diameter: full, slides: undefined },
  );
  const worst = smallest.value < 1 ? { ...least, margin: smallest.value, radius: smallest.radius } : least;
  if (!(worst.margin < 1)) return [];
  const length = (x: number): string => formatQuantity(x, 'length', units);
  const isFull = smallest.value < 1;
  const { slides } = (isFull ? onTheWay.at(-1) : worst) ?? worst;
  const slid =
    slides === undefined
      ? ''
      : Number.isFinite(slides.arc)
        ? `; they slide about ${length(slides.arc)} past each other`
        : '; they slide by more than a turn';
  return [
    {
      code: 'layers_slip',
      severity: 'warn',
      message: `layers slip at a radius of ${length(worst.radius)} (${handlingWords[name]}${isFull ? '' : `, at a diameter of ${length(worst.diameter)}`}): they hold ${(100 * worst.margin).toPrecision(3)} % of the torque, with friction at its low end of ${friction.toPrecision(3)}${slid}`,
      where: { pointer: pointers[name] },
      next: nextSteps[name],
    },
  ];
}
