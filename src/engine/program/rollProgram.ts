import type { Finding, FindingCode, Severity } from '../findings.js';
import type { Winder } from '../line/line.js';
import { isMeasured } from '../roll/woundOnTension.js';
import { formatQuantity } from '../units/format.js';
import type { Length, UnitSystem } from '../units/quantity.js';
import type { Web } from '../web/web.js';
import { LimitWatch, type ProgramLimit } from './limits.js';
import { hasDifferential, type ProductLimits, type RollProgram } from './product.js';
import {
  coefficientsOf,
  drumsOf,
  type RollRow,
  type RollSchedules,
  type RowMaker,
  rollRow,
  rollSchedules,
} from './rollRows.js';
import { runningShares } from './setpoint.js';
import { drumTraction } from './torqueDifferential.js';

/** A schedule as it is in force: the two laws mean different things by taper, so both ends are always stated. */
export interface KnobInForce {
  readonly name: string;
  readonly law: string;
  readonly start: number;
  readonly end: number;
  readonly taper?: number;
  /** Largest change per diameter as a share of the largest value [1/m], and where. */
  readonly steepest: { readonly diameter: Length; readonly relativeSlope: number };
}

export interface RollProgramResult {
  readonly role: 'winder' | 'unwind';
  readonly rows: readonly RollRow[];
  readonly knobs: readonly KnobInForce[];
  readonly limits: readonly ProgramLimit[];
  readonly findings: readonly Finding[];
  /** For drives and plots: the row at any diameter. */
  readonly maker: RowMaker;
}

export interface RollProgramInput {
  readonly role: 'winder' | 'unwind';
  readonly web: Web;
  readonly program: RollProgram;
  readonly limits: ProductLimits;
  /** The section of the line; undefined for an unwind. */
  readonly winder?: Winder;
  /** Wrap of the web on the drum before the nip [rad]; 0 when it runs straight in. */
  readonly drumWrap?: number;
  /** Units of the findings' words; SI when left out. */
  readonly units?: UnitSystem;
  /** Number of rows, evenly spaced in diameter from core to full roll, both included; at least 2. */
  readonly count: number;
}

/** Diameters at which limits are looked at, besides those of the rows. */
const limitDiameters = 241;

/**
 * The program of one roll [m, N/m]: rows from core to full roll, schedules in force, every limit of product and drum with its tightest place.
 * Limits of motors come from the drives (driveMap, lineDuty). Source: docs/models/schedules.md, torque-differential.md, wound-on-tension.md.
 */
export function rollProgram(input: RollProgramInput): RollProgramResult {
  const { program, limits, winder, role, count } = input;
  const findings: Finding[] = [];
  const add = (code: FindingCode, severity: Severity, key: string, message: string, next: string): void => {
    findings.push({
      code,
      severity,
      message,
      where: { pointer: key === '' ? program.pointer : `${program.pointer}.${key}` },
      next,
    });
  };
  const schedules = rollSchedules(program, limits.steepest);
  const maker = rowMaker(input, schedules, add);
  const core = 2 * program.coreRadius;
  const full = 2 * program.fullRadius;
  const at = (k: number, n: number): Length => (k === n - 1 ? full : core + ((full - core) * k) / (n - 1));
  const rows = Array.from({ length: count }, (_, k) => rollRow(maker, at(k, count)));
  const fine = Array.from({ length: limitDiameters }, (_, k) => rollRow(maker, at(k, limitDiameters)));
  const found = watchLimits(input, fine, schedules);
  for (const limit of found) {
    const broken = brokenLimit(limit, input.units ?? 'si');
    if (broken !== undefined) add(broken.code, broken.severity, broken.key, broken.message, broken.next);
  }
  for (const [key, schedule] of [
    ['tension', schedules.tension],
    ['nip', schedules.nip],
    ['torque_differential', schedules.torqueDifferential],
  ] as const)
    for (const finding of schedule?.findings ?? [])
      findings.push({ ...finding, where: { ...finding.where, pointer: `${program.pointer}.${key}` } });
  return { role, rows, knobs: knobsInForce(program, schedules, winder), limits: found, findings, maker };
}

type Add = (code: FindingCode, severity: Severity, key: string, message: string, next: string) => void;

function rowMaker(
  { program, web, winder, units }: RollProgramInput,
  schedules: RollSchedules,
  add: Add,
): RowMaker {
  if (winder === undefined) return { schedules, program, web };
  const { type } = winder;
  if (hasDifferential(type) && schedules.torqueDifferential === undefined)
    add(
      'torque_differential_missing',
      'warn',
      '',
      `a ${type} winder shares the web tension between two motors, and the product does not state how; shares and wound-on tension are left out`,
      'state torque_differential, 0 for equal shares',
    );
  if (!hasDifferential(type) && schedules.torqueDifferential !== undefined)
    add(
      'torque_differential_unused',
      'warn',
      'torque_differential',
      `a ${type} winder has one motor, so the torque differential of the product is not used`,
      'take torque_differential out, or correct the type of the winder in the line',
    );
  const coefficients = coefficientsOf(program, web);
  const needsNip = type === 'two-drum' || schedules.nip !== undefined;
  if (needsNip && coefficients === undefined)
    add(
      'wound_on_unknown',
      'warn',
      'wound_on',
      'the friction of web on web is not stated, so what the nip adds to the tension is not known; the wound-on tension is left out',
      'state web.friction, or measure wound_on.nip_coefficient',
    );
  else if (needsNip && coefficients !== undefined && !isMeasured(coefficients, type === 'two-drum'))
    add(
      'wound_on_default',
      'info',
      'wound_on',
      'the wound-on tension rests on starting values (friction of web on web, no saturation of the nip): it compares programs and does not predict',
      'measure it on site and state wound_on',
    );
  const drums =
    type === 'two-drum' ? usableDrums(units ?? 'si', winder, program, web, schedules, add) : undefined;
  return {
    type,
    schedules,
    program,
    web,
    ...(coefficients && { coefficients }),
    ...(drums && { drums }),
  };
}

function usableDrums(
  units: UnitSystem,
  winder: Winder,
  program: RollProgram,
  web: Web,
  schedules: RollSchedules,
  add: Add,
): RowMaker['drums'] {
  const drums = drumsOf(winder);
  const instead =
    schedules.nip === undefined
      ? 'the wound-on tension is left out'
      : 'the nip of the product is taken as that of both drums';
  if (drums === undefined) {
    add(
      'drum_nip_unknown',
      'warn',
      '',
      `the nips at the two drums are not computed, since their places and one common diameter are not known; ${instead}`,
      'state rear_drum and front_drum with centre_m and diameter_m',
    );
    return undefined;
  }
  if (web.density === undefined) {
    add(
      'drum_nip_unknown',
      'warn',
      '',
      `the nips at the two drums are not computed, since the weight of the roll is not known; ${instead}`,
      'state web.density_kgm3',
    );
    return undefined;
  }
  const length = (value: number): string => formatQuantity(value, 'length', units);
  if (0.5 * drums.distance >= program.coreRadius + drums.radius) {
    add(
      'roll_between_drums',
      'refuse',
      'core_diameter_m',
      `a core of ${length(2 * program.coreRadius)} falls between drums of ${length(2 * drums.radius)} that stand ${length(drums.distance)} apart`,
      'correct the core diameter or the place of the drums',
    );
    return undefined;
  }
  return drums;
}

function knobsInForce(
  program: RollProgram,
  schedules: RollSchedules,
  winder: Winder | undefined,
): KnobInForce[] {
  const knobs = [
    { name: 'tension', law: program.tension.law.law, schedule: schedules.tension },
    ...(program.nip && schedules.nip && winder
      ? [{ name: 'nip', law: program.nip.law.law, schedule: schedules.nip }]
      : []),
    ...(program.torqueDifferential && schedules.torqueDifferential && winder && hasDifferential(winder.type)
      ? [
          {
            name: 'torque differential',
            law: program.torqueDifferential.law.law,
            schedule: schedules.torqueDifferential,
          },
        ]
      : []),
  ];
  return knobs.map(({ name, law, schedule: { start, end, taper, steepest } }) => ({
    name,
    law,
    start,
    end,
    ...(taper !== undefined && { taper }),
    steepest,
  }));
}

/** Limits of the product and of drum traction over the build. */
function watchLimits(
  { web, limits, program, winder, drumWrap }: RollProgramInput,
  rows: readonly RollRow[],
  schedules: RollSchedules,
): ProgramLimit[] {
  const { smallest, largest } = runningShares(program.setpoint);
  const strength = new LimitWatch('web strength', 'below', 'N_per_m');
  const highest = new LimitWatch('highest tension', 'below', 'N_per_m');
  const lowest = new LimitWatch('lowest tension', 'above', 'N_per_m');
  const lowestNip = new LimitWatch('lowest nip', 'above', 'N_per_m');
  const highestNip = new LimitWatch('highest nip', 'below', 'N_per_m');
  const woundOn = new LimitWatch('wound-on tension', 'below', 'N_per_m');
  const woundOnStrength = new LimitWatch('wound-on tension against web strength', 'below', 'N_per_m');
  const pulling = new LimitWatch('drum traction, pulling', 'below', 'N_per_m');
  const holding = new LimitWatch('drum traction, holding back', 'above', 'N_per_m');
  const frontDrum = new LimitWatch('front drum traction', 'below', 'N_per_m');
  const allowed = web.strength === undefined ? undefined : limits.strengthShare * web.strength;
  for (const row of rows) {
    const d = row.diameter;
    strength.see(d, largest * row.tension, allowed);
    highest.see(d, largest * row.tension, limits.highestTension);
    lowest.see(d, smallest * row.tension, limits.lowestTension);
    lowestNip.see(d, row.nip, limits.lowestNip);
    highestNip.see(d, row.nip, limits.highestNip);
    woundOn.see(d, row.woundOnTension, limits.highestWoundOn);
    woundOnStrength.see(d, row.woundOnTension, web.strength);
    const nip = winder?.type === 'two-drum' ? row.drumNip : row.nip;
    if (winder === undefined || winder.type === 'centre' || nip === undefined) continue;
    const friction = winder.drum?.friction ?? web.frictionOnRoller;
    if (friction === undefined || row.share1 === undefined || row.share2 === undefined) continue;
    const grip = drumTraction(friction, nip, row.tension, drumWrap ?? 0);
    pulling.see(d, row.share2, grip.upper);
    if (row.share2 < 0) holding.see(d, row.share2, grip.lower);
    // The front drum carries no incoming web: its grip is that of its nip alone.
    if (winder.type === 'two-drum')
      frontDrum.see(d, Math.abs(row.share1), (winder.frontDrum?.friction ?? friction) * nip);
  }
  const steepest = limits.steepest;
  const slopes = [
    ['tension', schedules.tension],
    ['nip', schedules.nip],
    ['torque differential', schedules.torqueDifferential],
  ] as const;
  const slope = slopes.flatMap(([name, schedule]) => {
    if (schedule === undefined || steepest === undefined) return [];
    const watch = new LimitWatch(`slope of ${name}`, 'below', 'per_m');
    watch.see(schedule.steepest.diameter, Math.abs(schedule.steepest.relativeSlope), steepest);
    return watch.result();
  });
  return [
    ...[
      strength,
      highest,
      lowest,
      lowestNip,
      highestNip,
      woundOn,
      woundOnStrength,
      pulling,
      holding,
      frontDrum,
    ].flatMap((watch) => watch.result()),
    ...slope,
  ];
}

interface BrokenLimit {
  readonly code: FindingCode;
  readonly severity: Severity;
  readonly key: string;
  readonly message: string;
  readonly next: string;
}

/** What a broken limit means; slopes have a finding of their own from the schedule. */
function brokenLimit(
  { name, margin, diameter, value, limit }: ProgramLimit,
  units: UnitSystem,
): BrokenLimit | undefined {
  if (!(margin < 0)) return undefined;
  const where = `${formatQuantity(value, 'tensionPerWidth', units)} at a diameter of ${formatQuantity(diameter, 'length', units)}`;
  const against = formatQuantity(limit, 'tensionPerWidth', units);
  switch (name) {
    case 'web strength':
      return {
        code: 'tension_above_strength',
        severity: 'refuse',
        key: 'tension',
        message: `the tension reaches ${where}, above the ${against} that the web’s strength allows`,
        next: 'lower the tension, or correct web.strength and limits.strength_share',
      };
    case 'highest tension':
      return {
        code: 'tension_outside_window',
        severity: 'refuse',
        key: 'tension',
        message: `the tension reaches ${where}, above the highest of ${against}`,
        next: 'lower the tension there, or correct limits.highest_tension_N_per_m',
      };
    case 'lowest tension':
      return {
        code: 'tension_outside_window',
        severity: 'refuse',
        key: 'tension',
        message: `the tension falls to ${where}, below the lowest of ${against} at which the web tracks`,
        next: 'taper less, or correct limits.lowest_tension_N_per_m',
      };
    case 'lowest nip':
    case 'highest nip':
      return {
        code: 'nip_outside_window',
        severity: 'refuse',
        key: 'nip',
        message: `the nip force is ${where}, ${name === 'lowest nip' ? 'below' : 'above'} the ${name} of ${against}`,
        next: 'correct the nip schedule or the limit',
      };
    case 'wound-on tension':
      return {
        code: 'wound_on_too_high',
        severity: 'warn',
        key: 'tension',
        message: `the wound-on tension reaches ${where}, above the ${against} that the product allows`,
        next: 'lower tension, nip or torque differential there',
      };
    case 'wound-on tension against web strength':
      return {
        code: 'wound_on_too_high',
        severity: 'refuse',
        key: 'tension',
        message: `the wound-on tension reaches ${where}, above the web’s strength of ${against}`,
        next: 'lower tension, nip or torque differential there',
      };
    case 'front drum traction':
    case 'drum traction, pulling':
    case 'drum traction, holding back':
      return {
        code: 'drum_slips',
        severity: 'refuse',
        key: 'torque_differential',
        message: `the drum is asked for ${where}; its grip ends at ${against}`,
        next: 'raise the nip, or move the torque differential so that the drum carries less',
      };
    default:
      return undefined;
  }
}
