import type { Finding } from '../../../findings.js';
import type { Line, Winder } from '../../../line/line.js';
import { formatNumber, formatQuantity } from '../../../units/format.js';
import type { Length, Ratio, TensionPerWidth, UnitSystem } from '../../../units/quantity.js';
import type { DriveModel } from '../../drives/driveModel.js';
import { rollDrives } from '../../drives/rollDrives.js';
import { drumWrap } from '../../drumWrap.js';
import {
  hasDifferential,
  type Product,
  type ProductLimits,
  type RollProgram,
  type SetpointProgram,
  usualStrengthShare,
} from '../../product.js';
import { runningShares } from '../../setpoint.js';
import { rollBuild } from '../rollBuild.js';
import type { RollInput } from '../rollInput.js';
import { type LowestTraction, lowestTraction } from './lowestTraction.js';
import { motorForce } from './motorForce.js';
import type { MotorBounds, ShareBounds } from './shareBounds.js';

/** An end of what a knob may be, and what makes it. */
export interface NamedBound {
  readonly value: number;
  readonly name: string;
}

/** What a line and a product let a roll be wound with, as plain numbers. */
export interface LineLimits {
  /** Name of the winder that the roll is wound on. */
  readonly winder: string;
  readonly lowestTension?: NamedBound;
  readonly highestTension?: NamedBound;
  readonly lowestNip?: NamedBound;
  readonly highestNip?: NamedBound;
  /** Change per diameter as a share of the largest value [1/m]. */
  readonly steepest?: NamedBound;
  readonly shares: ShareBounds;
  readonly findings: readonly Finding[];
}

/** Diameters at which motors are looked at. */
const places = 24;
/** Tensions between which the traction of the rollers before the winder is looked at where nothing else is stated [N/m]. */
const tractionFrom = 5;
const tractionTo = 5000;
/**
 * What the winder of a line and a product allow for a roll [N/m, 1/m]: the product's window of tension and nip and its slope, the web's strength, the traction of the rollers before the winder, and over the diameter what each motor can make and each drum can pass on.
 * Undefined, with what is wrong, when the roll is not one of this line: another way of winding, or a web wider than the line. Source: docs/models/wound-roll.md, "Designing a schedule".
 */
export function lineLimits(
  input: RollInput,
  line: Line,
  product: Product | undefined,
  units: UnitSystem = 'si',
): LineLimits | { readonly findings: readonly Finding[] } {
  const winder = line.sections.findLast((s): s is Winder => s.kind === 'winder');
  const strange = notOfLine(input, line, winder, units);
  if (winder === undefined || strange.length > 0) return { findings: strange };
  const { web } = input;
  const limits: ProductLimits = product?.limits ?? { strengthShare: usualStrengthShare };
  const of = (name: string, value: number | undefined): NamedBound[] =>
    value === undefined ? [] : [{ value, name }];
  const stated = {
    highest: [
      ...of('highest tension of the product', limits.highestTension),
      ...of(
        `${(100 * limits.strengthShare).toPrecision(3)} % of the web’s strength`,
        web.strength === undefined ? undefined : limits.strengthShare * web.strength,
      ),
    ],
    lowest: of('lowest tension of the product, below which the web does not track', limits.lowestTension),
  };
  // The setpoint asks for shares of the schedule, in a splice or while the line speeds up: its ends keep the limits, not the schedule alone.
  const running = runningShares(product?.winder?.setpoint ?? plainSetpoint);
  const highest = shared(least(stated.highest), running.largest);
  const traction = lowestTraction(
    line,
    winder.name,
    { web: { ...product?.web, ...web }, units },
    tractionFrom,
    highest?.value ?? tractionTo,
  );
  const lowest = most([...stated.lowest, ...of(`traction of ${traction?.roller ?? ''}`, traction?.tension)]);
  const { shares, findings } = sharesOf(input, line, winder, product, units);
  return {
    winder: winder.name,
    shares,
    findings: [
      ...findings,
      ...tractionFindings(traction, (highest?.value ?? tractionTo) * running.largest, units),
    ],
    ...(lowest && { lowestTension: lowest }),
    ...(highest && { highestTension: highest }),
    ...(limits.lowestNip !== undefined && {
      lowestNip: { value: limits.lowestNip, name: 'lowest nip of the product' },
    }),
    ...(limits.highestNip !== undefined && {
      highestNip: { value: limits.highestNip, name: 'highest nip of the product' },
    }),
    ...(limits.steepest !== undefined && {
      steepest: { value: limits.steepest, name: 'steepest change of the product' },
    }),
  };
}

/** A setpoint that asks for the whole schedule in every state of the line. */
const plainSetpoint: SetpointProgram = { stall: 1, fullFrom: 0, accelerating: 1, decelerating: 1 };

/** What a bound of the tension leaves of the schedule when the setpoint asks for a share of it [1]. */
const shared = (bound: NamedBound | undefined, share: Ratio): NamedBound | undefined =>
  bound === undefined || share === 1
    ? bound
    : {
        value: bound.value / share,
        name: `${bound.name}, at a setpoint of ${formatNumber(100 * share, 3)} % of the schedule`,
      };

const least = (bounds: readonly NamedBound[]): NamedBound | undefined =>
  bounds.reduce<NamedBound | undefined>((a, b) => (a === undefined || b.value < a.value ? b : a), undefined);
const most = (bounds: readonly NamedBound[]): NamedBound | undefined =>
  bounds.reduce<NamedBound | undefined>((a, b) => (a === undefined || b.value > a.value ? b : a), undefined);

/** A roller that slips whatever the tension bounds no schedule: it needs something else. */
const tractionFindings = (
  traction: LowestTraction | undefined,
  highest: TensionPerWidth,
  units: UnitSystem,
): Finding[] =>
  traction === undefined || traction.tension !== undefined
    ? []
    : [
        {
          code: 'traction_lost',
          severity: 'warn',
          message: `the web slips on ${traction.roller} before the winder at any tension up to ${formatQuantity(highest, 'tensionPerWidth', units)}, so its traction bounds no schedule`,
          where: { pointer: 'web' },
          next: 'lead the air away there (grooves, roughness), run slower, or drive that roller: the tug budget of the line says which',
        },
      ];

function notOfLine(
  { method, web }: RollInput,
  line: Line,
  winder: Winder | undefined,
  units: UnitSystem,
): Finding[] {
  const says = (pointer: string, message: string): Finding[] => [
    {
      code: 'roll_not_of_line',
      severity: 'warn',
      message: `${message}; limits of the line are not used`,
      where: { pointer },
      next: 'correct the roll or the line, or state limits in the roll alone',
    },
  ];
  const width = (x: Length): string => formatQuantity(x, 'length', units);
  if (winder === undefined) return says('wind.method', 'the line has no winder');
  if (winder.type !== method)
    return says(
      'wind.method',
      `the roll is wound on a ${method} winder, and ${winder.name} of the line is a ${winder.type} winder`,
    );
  if (line.webWidth !== undefined && web.width > line.webWidth * (1 + 1e-6))
    return says(
      'web.width_m',
      `the web of the roll is ${width(web.width)} wide, and that of the line ${width(line.webWidth)}`,
    );
  return [];
}

/** What motors and drums of the winder bear. */
function sharesOf(
  input: RollInput,
  line: Line,
  winder: Winder,
  product: Product | undefined,
  units: UnitSystem,
): Pick<LineLimits, 'shares' | 'findings'> {
  const { build } = rollBuild(input);
  const diameters = Float64Array.from(
    { length: places },
    (_, k) => build.core + ((build.full - build.core) * k) / (places - 1),
  );
  const findings: Finding[] = [];
  const models = rollDrives(line, asProduct(input, product)).filter((m) => m.roll === 'winder');
  const own = winder.type === 'two-drum' ? winder.frontDrum?.name : winder.rollers.at(-1)?.name;
  const bounds = (model: DriveModel | undefined): MotorBounds | undefined => {
    const { speed } = line;
    if (model?.drive.motor === undefined || speed === undefined || model.missing.includes('radius'))
      return undefined;
    const rates = {
      speed: speed.top,
      ...(speed.acceleration !== undefined && { acceleration: speed.acceleration }),
      ...(speed.stop !== undefined && { stop: speed.stop }),
    };
    const ranges = Array.from(diameters, (d) =>
      motorForce(model, d, rates, hasDifferential(winder.type) ? 2 : 1),
    );
    const nowhere = ranges.indexOf(undefined);
    if (nowhere >= 0) {
      findings.push({
        code: 'motor_torque_exceeded',
        severity: 'warn',
        message: `the motor of ${model.name} cannot run the roll at a diameter of ${formatQuantity(diameters[nowhere] as number, 'length', units)}, whatever the tension; it bounds no schedule here`,
        where: { pointer: 'wind' },
        next: 'look at its torques with tautline program',
      });
      return undefined;
    }
    return {
      name: model.name,
      lower: Float64Array.from(ranges, (r) => r?.lower ?? Number.NaN),
      upper: Float64Array.from(ranges, (r) => r?.upper ?? Number.NaN),
    };
  };
  const motor1 = bounds(models.find((m) => m.name === own));
  const motor2 = bounds(models.find((m) => m.name === winder.drum?.name && m.name !== own));
  const friction = winder.drum?.friction ?? product?.web.frictionOnRoller ?? input.web.frictionOnRoller;
  const isNipped = winder.type !== 'centre';
  return {
    shares: {
      diameters,
      ...(motor1 && { motor1 }),
      ...(motor2 && { motor2 }),
      ...(isNipped &&
        winder.drum !== undefined &&
        friction !== undefined && {
          drum: { name: winder.drum.name, friction, wrap: drumWrap(line, winder) },
        }),
      ...(winder.type === 'two-drum' &&
        winder.frontDrum !== undefined &&
        friction !== undefined && {
          frontDrum: { name: winder.frontDrum.name, friction: winder.frontDrum.friction ?? friction },
        }),
    },
    findings,
  };
}

/** The roll as a program of unit tension: what a motor needs for it is asked of the models by shares of that. */
function asProduct({ web, core, laps, method }: RollInput, product: Product | undefined): Product {
  const constant = (start: TensionPerWidth) => ({ law: { law: 'constant', start }, pointer: '' }) as const;
  const winder: RollProgram = {
    coreRadius: core.outerRadius,
    fullRadius: core.outerRadius + laps * web.caliper,
    tension: constant(1),
    ...(hasDifferential(method) && { torqueDifferential: constant(0) }),
    setpoint: product?.winder?.setpoint ?? plainSetpoint,
    pointer: '',
  };
  return {
    name: '',
    invented: false,
    web: { ...product?.web, ...web },
    winder,
    limits: { strengthShare: usualStrengthShare },
  };
}
