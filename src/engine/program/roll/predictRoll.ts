import type { Finding, FindingCode, Severity } from '../../findings.js';
import { largestDeceleration, type SlipMargin } from '../../roll/slip.js';
import {
  alwaysWindow,
  chooseWindow,
  largestDifference,
  windowError,
} from '../../roll/stress/chooseWindow.js';
import type { FineWindow, WindingInput, WoundRoll } from '../../roll/stress/windingInput.js';
import { windRoll } from '../../roll/stress/windRoll.js';
import { type CompressedRoll, compressedRoll } from '../../roll/stress/woundThickness.js';
import { formatQuantity } from '../../units/format.js';
import type {
  Acceleration,
  Length,
  Pressure,
  Ratio,
  TensionPerWidth,
  UnitSystem,
} from '../../units/quantity.js';
import { hasDifferential } from '../product.js';
import { requireRoll } from './requireRoll.js';
import { type PredictedAfter, rollAfter } from './rollAfter.js';
import { type AiredRoll, airFindings, type RollAir, windWithAir } from './rollAir.js';
import { rollBuild } from './rollBuild.js';
import { rollFindings } from './rollFindings.js';
import type { RollInput } from './rollInput.js';
import { slipCases } from './slipCases.js';

/** What is in a wound roll and whether its layers hold. Index 0 is the interface between core and first lap. */
export interface RollPrediction {
  readonly radius: Float64Array;
  readonly pressure: Float64Array;
  readonly hoopStress: Float64Array;
  readonly woundOnTension: Float64Array;
  /** For the stop when one is stated, else for winding; undefined without friction. */
  readonly slip?: SlipMargin;
  readonly slipCases: readonly {
    readonly name: 'winding' | 'stop' | 'web break';
    readonly smallest: SlipMargin['smallest'];
  }[];
  /** Largest deceleration before a core-braked stop slips, web on and web broken. */
  readonly largestDeceleration?: { readonly webOn: Acceleration; readonly webBroken: Acceleration };
  /** Friction at its low end, which slip was judged with. */
  readonly frictionUsed?: Ratio;
  readonly scheme: {
    readonly update: 'mid-increment';
    readonly window: 'full' | FineWindow;
    /** Error of window and increments together, and of the window alone, as shares of the largest pressure. */
    readonly error: Ratio;
    readonly windowError: Ratio;
  };
  /** Pressure in the middle of the build, where it is flat there. */
  readonly plateauPressure?: Pressure;
  readonly corePressure: Pressure;
  readonly minimumHoopStress: { readonly value: Pressure; readonly radius: Length };
  /** Largest strain of the stack; NaN for a law without one. */
  readonly stackStrain: Ratio;
  /** Radius and density with the layers compressed by their pressure. */
  readonly compressed: CompressedRoll;
  /** Air between the laps, where it was asked for. */
  readonly air?: RollAir;
  /** After each step that follows winding; empty when none is stated. */
  readonly after: readonly PredictedAfter[];
  readonly findings: readonly Finding[];
}

/** Laps up to which the scheme's error is measured on the roll itself; longer rolls take it from a roll of this many laps. */
const lapsForError = 1500;

/**
 * Winds a roll by its tension, nip and torque differential, and judges its layers [Pa, N/m, 1]. Long rolls are wound with a moving fine window
 * unless every lap is asked for (`resolution`). Throws for what is no roll.
 * @throws TautlineError argument_invalid. Source: docs/models/wound-roll.md, wound-on-tension.md.
 */
export function predictRoll(
  input: RollInput,
  units: UnitSystem = 'si',
  resolution: 'automatic' | 'full' = 'automatic',
): RollPrediction {
  const pa = (x: Pressure): string => formatQuantity(x, 'pressure', units);
  const length = (x: Length): string => formatQuantity(x, 'length', units);
  requireRoll(input);
  const { laps } = input;
  const findings: Finding[] = [];
  const add = (
    code: FindingCode,
    severity: Severity,
    pointer: string,
    message: string,
    next: string,
  ): void => {
    findings.push({ code, severity, message, where: { pointer }, next });
  };
  if (hasDifferential(input.method) && input.torqueDifferential === undefined)
    add(
      'torque_differential_missing',
      'warn',
      'wind',
      `a ${input.method} winder shares the tension between two motors, and the roll does not state how; equal shares are taken`,
      'state wind.torque_differential',
    );
  const windowOf = (w: WindingInput): FineWindow | undefined =>
    resolution === 'full' ? undefined : chooseWindow(w);
  const wind = (w: WindingInput): WoundRoll => windRoll({ ...w, window: windowOf(w) });
  const aired = windWithAir(input, wind);
  const own = aired?.input ?? input;
  const made = aired?.build ?? rollBuild(input);
  const { build, tension, coreForce } = made;
  const winding = aired?.winding ?? made.winding;
  const { stack } = winding;
  const window = windowOf(winding);
  const wound = aired?.roll ?? wind(winding);
  const roll = { ...wound, hoopStress: webStress(wound.hoopStress, aired, input) };
  const largest = roll.pressure.reduce((a, b) => Math.max(a, b), 0);
  const short = { ...winding, laps: Math.min(laps, lapsForError) };
  const ofWindow = windowError({ ...winding, window }, wound);
  const lowest = minimum(roll.hoopStress, roll.radius);
  const strain = stack.strain(largest);
  const middle = Math.floor(laps / 2);
  const plateau = plateauOf(roll.pressure);
  const webTension = roll.radius.reduce((most, r) => Math.max(most, tension.at(2 * r)), 0);
  findings.push(
    ...airFindings(input, aired, units),
    ...rollFindings(own, { ...roll, stack, webTension }, units),
  );
  if (lowest.value < 0)
    add(
      'hoop_compression',
      'info',
      'wind.tension',
      `the web is in compression along its length from ${pa(lowest.value)} at a radius of ${length(lowest.radius)}; every roll of constant tension is, inside`,
      'compare with rolls that buckled or starred on this line before changing anything',
    );
  const full = { radius: build.full / 2, tension: tension.end, coreForce: coreForce(build.full) };
  // Stress and thickness of a lap as it was wound, with its air; friction works on what the air leaves of the pressure.
  const held = aired?.held ?? ((pressure: Float64Array) => pressure);
  const holding = { ...wound, pressure: held(wound.pressure) };
  const judged = judgeSlip(own, holding, full.radius, full.tension, full.coreForce, units, add);
  const { after, findings: later } = rollAfter(own, winding, wound, full, units, held);
  findings.push(...later);
  return {
    radius: roll.radius,
    pressure: roll.pressure,
    hoopStress: roll.hoopStress,
    woundOnTension: roll.woundOn,
    ...judged,
    scheme: {
      update: 'mid-increment',
      window: window ?? 'full',
      error: ofWindow + schemeError(short),
      windowError: ofWindow,
    },
    ...(plateau && { plateauPressure: roll.pressure[middle] as number }),
    corePressure: roll.pressure[0] as number,
    minimumHoopStress: lowest,
    stackStrain: strain,
    compressed: compressedRoll(
      roll.pressure,
      input.web.caliper,
      winding.coreRadius,
      winding.coreStiffness,
      stack,
      input.web.density,
      aired?.air.left,
    ),
    ...(aired && { air: aired.air }),
    after: after.map((a) => ({ ...a, hoopStress: webStress(a.hoopStress, aired, input) })),
    findings,
  };
}

/** Stress of the web from that of a lap with its air, which is thicker: σ·L/h. */
const webStress = (stress: Float64Array, aired: AiredRoll | undefined, { web }: RollInput): Float64Array =>
  aired === undefined ? stress : stress.map((s) => (s * aired.air.lapThickness) / web.caliper);

type Add = (code: FindingCode, severity: Severity, pointer: string, message: string, next: string) => void;

/** Largest change that solving every lap twice makes, as a share of the largest pressure; both with a window, which changes neither noticeably. */
function schemeError(input: WindingInput): Ratio {
  const windowed = { ...input, window: alwaysWindow(input.laps) };
  return largestDifference(
    windRoll({ ...windowed, update: 'corrected' }).pressure,
    windRoll(windowed).pressure,
  );
}

function minimum(values: Float64Array, radius: Float64Array): { value: number; radius: number } {
  let at = 0;
  values.forEach((v, i) => {
    if (v < (values[at] as number)) at = i;
  });
  return { value: values[at] as number, radius: radius[at] as number };
}

/** True when the middle third of the build is flat within a twentieth. */
function plateauOf(pressure: Float64Array): boolean {
  const n = pressure.length;
  if (n < 30) return false;
  const third = pressure.subarray(Math.floor(n / 3), Math.floor((2 * n) / 3));
  const high = third.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
  const low = third.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
  return high - low < 0.05 * high;
}

function judgeSlip(
  input: RollInput,
  wound: { radius: Float64Array; pressure: Float64Array; hoopStress: Float64Array },
  radius: Length,
  tension: TensionPerWidth,
  coreForce: TensionPerWidth,
  units: UnitSystem,
  add: Add,
): Pick<RollPrediction, 'slip' | 'slipCases' | 'largestDeceleration' | 'frictionUsed'> {
  const { web } = input;
  if (web.friction === undefined || web.density === undefined) {
    add(
      'slip_not_judged',
      'info',
      'web',
      'slip between layers is not judged, since friction or density of the web is not stated',
      'state web.friction and web.density_kgm3',
    );
    return { slipCases: [] };
  }
  const { roll, states, friction, judged } = slipCases(
    { ...input, web: { ...web, friction: web.friction, density: web.density } },
    wound,
    {
      radius,
      tension,
      coreForce,
    },
  );
  for (const { name, smallest } of judged)
    if (smallest.value < 1)
      add(
        'layers_slip',
        'warn',
        name === 'winding' ? 'wind.tension' : 'stop',
        `layers slip at a radius of ${formatQuantity(smallest.radius, 'length', units)} (${name === 'winding' ? 'while winding' : name === 'stop' ? 'in the stop, web on' : 'in the stop, web broken'}): they hold ${(100 * smallest.value).toPrecision(3)} % of the torque, with friction at its low end of ${friction.toPrecision(3)}`,
        name === 'winding'
          ? 'wind tighter at that radius'
          : 'stop more slowly, brake at the surface, or wind tighter at that radius',
      );
  const wanted = judged.find((j) => j.name === 'stop') ?? judged[0];
  return {
    ...(wanted && { slip: { margin: wanted.margin, smallest: wanted.smallest } }),
    slipCases: judged.map(({ name, smallest }) => ({ name, smallest })),
    largestDeceleration: {
      webOn: largestDeceleration(roll, { ...states, brakedAt: 'core' }, friction, true),
      webBroken: largestDeceleration(roll, { ...states, brakedAt: 'core' }, friction, false),
    },
    frictionUsed: friction,
  };
}
