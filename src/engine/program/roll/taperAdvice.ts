import type { HandlingName } from '../../roll/slip/handling.js';
import { formatNumber, formatQuantity } from '../../units/format.js';
import type { Length, Pressure, Ratio, TensionPerWidth, UnitSystem } from '../../units/quantity.js';
import { createSchedule } from '../schedule/schedule.js';
import type { ScheduleLaw } from '../schedule/types.js';
import { handlingWords } from './judgeSlip.js';
import type { NamedBound } from './lineLimits/lineLimits.js';
import { predictRoll, type RollPrediction } from './predictRoll.js';
import type { RollInput } from './rollInput.js';
import { outerPlace } from './rollLimits.js';

/** The schedules that are held against each other. */
export const taperNames = ['no taper', 'present', 'maximum taper'] as const;
export type TaperName = (typeof taperNames)[number];

/** What a taper is judged by. */
export interface TaperMeasures {
  /** Tension in force at core and full roll. */
  readonly startTension: TensionPerWidth;
  readonly endTension: TensionPerWidth;
  /** Smallest margin against slip of all cases that were judged; undefined without friction or density. */
  readonly slip?: { readonly value: Ratio; readonly radius: Length; readonly case: HandlingName };
  readonly minimumHoopStress: Pressure;
  /** At 95 % of the build. */
  readonly outerPressure: Pressure;
  readonly corePressure: Pressure;
}

export interface TaperVariant {
  readonly name: TaperName;
  readonly input: RollInput;
  readonly prediction: RollPrediction;
  readonly measures: TaperMeasures;
}

/** Whether taper is the lever: layers hold without it; it makes them hold; it helps and is not enough; it changes little; it makes slip worse; slip was not judged. */
export type TaperVerdict = 'not needed' | 'right lever' | 'not enough' | 'no lever' | 'worse' | 'not judged';

export interface TaperAdvice {
  readonly variants: readonly TaperVariant[];
  readonly verdict: TaperVerdict;
  /** What a colleague would say: first whether taper is the lever, then what maximum taper costs elsewhere. */
  readonly words: readonly string[];
}

/** Points in which a differential that follows the tension is stated. */
const points = 17;
/** A change of the smallest margin by less than this share is little: friction alone is uncertain by more. */
const littleChange = 0.1;

/**
 * The roll wound without taper, as stated, and with maximum taper: constant tension; the stated law; constant torque (hyperbolic, taper 1, the
 * steepest law that the torque of a motor asks for). All begin with the tension that is in force at the core, and the torque differential keeps its share
 * of the tension; nip as stated. Maximum taper ends at `lowest`, the lowest tension that is allowed, where constant torque would fall below it. Is taper what this roll needs? [Pa, N/m, 1]
 * @throws TautlineError as {@link predictRoll}. Source: docs/models/wound-roll.md, "Does taper help?".
 */
export function taperAdvice(
  input: RollInput,
  units: UnitSystem = 'si',
  predict: (input: RollInput, units: UnitSystem) => RollPrediction = predictRoll,
  lowest?: NamedBound,
): TaperAdvice {
  const variants = taperNames.map((name): TaperVariant => {
    const own = name === 'present' ? input : withTaper(input, name, lowest?.value ?? 0);
    const prediction = predict(own, units);
    return { name, input: own, prediction, measures: measuresOf(own, prediction) };
  });
  const [none, present, most] = variants.map((v) => v.measures) as [
    TaperMeasures,
    TaperMeasures,
    TaperMeasures,
  ];
  const verdict = verdictOf(none, present, most);
  return {
    variants,
    verdict,
    words: [
      ...leverWords(verdict, none, present, most, units),
      ...lowestWords(lowest, variants, units),
      costWords(none, most),
    ],
  };
}

const buildOf = ({ core, laps, web }: RollInput) => ({
  core: 2 * core.outerRadius,
  full: 2 * (core.outerRadius + laps * web.caliper),
});

function withTaper(input: RollInput, name: 'no taper' | 'maximum taper', lowest: TensionPerWidth): RollInput {
  const build = buildOf(input);
  const before = createSchedule(input.tension, build);
  const tension: ScheduleLaw =
    name === 'no taper'
      ? { law: 'constant', start: before.start }
      : maximumTaper(before.start, build, lowest);
  if (input.torqueDifferential === undefined) return { ...input, tension };
  const after = createSchedule(tension, build);
  const differential = createSchedule(input.torqueDifferential, build, { mayBeNegative: true });
  return {
    ...input,
    tension,
    torqueDifferential: {
      law: 'table',
      points: Array.from({ length: points }, (_, k) => {
        const diameter = build.core + ((build.full - build.core) * k) / (points - 1);
        const share = before.at(diameter) > 0 ? differential.at(diameter) / before.at(diameter) : 0;
        return { diameter, value: share * after.at(diameter) };
      }),
    },
  };
}

/** Constant torque, or as much of the hyperbolic law as the lowest tension leaves. */
function maximumTaper(
  start: TensionPerWidth,
  build: { readonly core: Length; readonly full: Length },
  lowest: TensionPerWidth,
): ScheduleLaw {
  if ((start * build.core) / build.full >= lowest) return { law: 'hyperbolic', start, taper: 1 };
  return lowest < start ? { law: 'hyperbolic', start, end: lowest } : { law: 'constant', start };
}

function lowestWords(
  lowest: NamedBound | undefined,
  variants: readonly TaperVariant[],
  units: UnitSystem,
): string[] {
  const most = variants.find((v) => v.name === 'maximum taper')?.measures;
  if (lowest === undefined || most === undefined) return [];
  const show = (x: TensionPerWidth): string => formatQuantity(x, 'tensionPerWidth', units);
  if (lowest.value >= most.startTension)
    return [
      `No taper is left: the tension begins at ${show(most.startTension)}, and the lowest that is allowed is ${show(lowest.value)} (${lowest.name}).`,
    ];
  if (most.endTension > lowest.value * (1 + 1e-9)) return [];
  return [
    `Maximum taper ends at ${show(lowest.value)}, the lowest tension that is allowed (${lowest.name}); constant torque would fall below it.`,
  ];
}

function measuresOf(input: RollInput, prediction: RollPrediction): TaperMeasures {
  const { start, end } = createSchedule(input.tension, buildOf(input));
  const { pressure, slipCases } = prediction;
  const least = slipCases.reduce<(typeof slipCases)[number] | undefined>(
    (a, b) => (a === undefined || b.smallest.value < a.smallest.value ? b : a),
    undefined,
  );
  return {
    startTension: start,
    endTension: end,
    ...(least && { slip: { ...least.smallest, case: least.name } }),
    minimumHoopStress: prediction.minimumHoopStress.value,
    outerPressure: pressure[Math.floor(outerPlace * (pressure.length - 1))] as number,
    corePressure: prediction.corePressure,
  };
}

function verdictOf(none: TaperMeasures, present: TaperMeasures, most: TaperMeasures): TaperVerdict {
  if (none.slip === undefined || present.slip === undefined || most.slip === undefined) return 'not judged';
  const change = most.slip.value / none.slip.value - 1;
  if (none.slip.value >= 1 && present.slip.value >= 1)
    return change < -littleChange && most.slip.value < 1 ? 'worse' : 'not needed';
  if (change < -littleChange) return 'worse';
  if (most.slip.value >= 1 || present.slip.value >= 1) return 'right lever';
  return change > littleChange ? 'not enough' : 'no lever';
}

function leverWords(
  verdict: TaperVerdict,
  none: TaperMeasures,
  present: TaperMeasures,
  most: TaperMeasures,
  units: UnitSystem,
): string[] {
  if (none.slip === undefined || present.slip === undefined || most.slip === undefined)
    return ['Whether taper helps against slip is not known: friction or density of the web is not stated.'];
  const said = (m: TaperMeasures): string =>
    m.slip === undefined
      ? ''
      : `${formatNumber(m.slip.value, 3)} with ${formatQuantity(m.endTension, 'tensionPerWidth', units)} at the full roll`;
  const numbers = `The layers hold ${said(none)} (no taper), ${said(present)} (present), ${said(most)} (maximum taper), times what is asked of them at worst.`;
  const where = `It is asked most ${handlingWords[present.slip.case]}, at a radius of ${formatQuantity(present.slip.radius, 'length', units)}.`;
  return [`${leverSentence[verdict]}`, numbers, where];
}

const leverSentence: Readonly<Record<TaperVerdict, string>> = {
  'not needed':
    'Taper is not needed against slip: the layers hold without it, with friction at its low end. Use it for other reasons only, or leave it.',
  'right lever': 'Taper is the right lever: with it the layers hold, without it they slip.',
  'not enough':
    'Taper helps and is not enough: the layers slip even at maximum taper. Stop more slowly, brake at the surface, or wind tighter near the core.',
  'no lever':
    'Taper is not the lever: it hardly changes what the layers hold. Stop more slowly, brake at the surface, wind tighter where it is asked most, or look at the friction of the web.',
  worse:
    'Taper makes slip worse here: it takes pressure from where the layers are asked most. Wind the outside tighter, or stop more slowly.',
  'not judged': '',
};

/** What maximum taper changes besides, against no taper. */
function costWords(none: TaperMeasures, most: TaperMeasures): string {
  const share = (a: number, b: number): string => {
    const percent = 100 * (b / a - 1);
    return `${percent < 0 ? 'falls' : 'rises'} by ${formatNumber(Math.abs(percent), 2)} %`;
  };
  const hoop = most.minimumHoopStress - none.minimumHoopStress;
  return `Against no taper, maximum taper costs this elsewhere: pressure near the outside ${share(none.outerPressure, most.outerPressure)}, at the core it ${share(none.corePressure, most.corePressure)}, and the web's compression inside the roll gets ${hoop >= 0 ? 'smaller' : 'larger'}.`;
}
