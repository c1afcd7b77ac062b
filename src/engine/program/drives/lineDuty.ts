import type { Finding } from '../../findings.js';
import type { Line } from '../../line/line.js';
import type { Motor } from '../../line/motor.js';
import { lengthBetween } from '../../roll/buildUp.js';
import { formatNumber, formatQuantity } from '../../units/format.js';
import type {
  AngularSpeed,
  Energy,
  Length,
  Power,
  Ratio,
  Time,
  Torque,
  TorqueFraction,
  UnitSystem,
} from '../../units/quantity.js';
import { dutyPeaks, rmsCurrentFraction, rmsTorque } from '../duty/cycle.js';
import { loadInertiaRatio } from '../duty/range.js';
import type { Product, RollProgram } from '../product.js';
import { type DriveModel, knowsInertia } from './driveModel.js';
import { type LineCycle, lineCycle } from './lineCycle.js';
import { type LineStops, lineStops } from './lineStops.js';

/** What a cycle of the line, one roll long, asks of one motor. */
export interface DriveDuty {
  readonly name: string;
  readonly rms: Torque;
  /** RMS of the torque current over that of rated torque; at most 1 when the motor can do it for ever. */
  readonly rmsFraction: TorqueFraction;
  readonly peak: Torque;
  readonly drivingPower: Power;
  readonly brakingPower: Power;
  /** Shaft work over the cycle, and work fed back, before losses of motor and drive. */
  readonly drivingEnergy: Energy;
  readonly brakingEnergy: Energy;
  readonly highestSpeed: AngularSpeed;
  /** Largest over smallest motor speed at one web speed; 1 for a roller of fixed radius. */
  readonly speedRange: Ratio;
  /** Inertia of the load over that of the rotor at the smallest and the largest roll; undefined without the rotor's. */
  readonly loadRatio?: readonly [Ratio, Ratio];
}

export interface LineDuty extends LineStops {
  /** How long the cycle is [s]. */
  readonly cycleTime: Time;
  readonly drives: readonly DriveDuty[];
  readonly findings: readonly Finding[];
}

/**
 * Duty of every motor over the cycle of the line: speed up, run one roll, stop, rest; and what stops ask of them [N·m, W, J, s]. Drives without a
 * motor or with torques that leave the tension out are not judged. Undefined while the line states no speed, acceleration or stop.
 * @throws TautlineError argument_invalid. Source: docs/models/drive-duty.md.
 */
export function lineDuty(
  line: Line,
  product: Product,
  models: readonly DriveModel[],
  units: UnitSystem = 'si',
): LineDuty | undefined {
  const { speed } = line;
  if (speed?.acceleration === undefined || speed.stop === undefined) return undefined;
  const program = product.winder ?? product.unwind;
  if (program === undefined) return undefined;
  const cycle: LineCycle = {
    speed: speed.top,
    acceleration: speed.acceleration,
    stop: speed.stop,
    runTime: lengthBetween(program.coreRadius, program.fullRadius, product.web.caliper) / speed.top,
    standstill: speed.standstill ?? 0,
  };
  const judged = models.filter(
    (m) => m.drive.motor !== undefined && !m.missing.includes('tension') && !m.missing.includes('radius'),
  );
  const stopping = judged.filter(knowsInertia);
  const findings: Finding[] = [];
  const drives = judged.flatMap((model) => {
    const { motor } = model.drive;
    if (motor === undefined) return [];
    const duty = driveDuty(model, motor, cycle, product);
    if (duty.rmsFraction > 1 - narrow) findings.push(heatFinding(model, duty, units));
    return [duty];
  });
  const stops = lineStops(speed, stopping, product, units);
  return {
    cycleTime: cycle.speed / cycle.acceleration + cycle.runTime + cycle.speed / cycle.stop + cycle.standstill,
    drives,
    ...stops,
    findings: [...findings, ...stops.findings],
  };
}

/** A margin below this share is worth a warning. */
const narrow = 0.1;

const programOf = (model: DriveModel, product: Product): RollProgram | undefined =>
  model.roll === undefined ? undefined : product[model.roll];

function driveDuty(model: DriveModel, motor: Motor, cycle: LineCycle, product: Product): DriveDuty {
  const program = programOf(model, product);
  // An unwind begins its cycle with the full roll, a winder with the core.
  const [first, last] =
    program === undefined
      ? [Number.NaN, Number.NaN]
      : model.roll === 'unwind'
        ? [program.fullRadius, program.coreRadius]
        : [program.coreRadius, program.fullRadius];
  const segments = lineCycle(model, cycle, first, last);
  const { peakTorque, drivingPower, brakingPower, drivingEnergy, brakingEnergy } = dutyPeaks(segments);
  const speeds = [first, last].map((r) => model.motorSpeed(2 * r, cycle.speed));
  const rotor = motor.inertia;
  const ratioAt = (radius: Length): Ratio =>
    loadInertiaRatio(
      model.stopping(2 * radius).inertia / model.drive.sides.gearRatio ** 2 - (rotor as number),
      rotor as number,
    );
  return {
    name: model.name,
    rms: rmsTorque(segments, motor.cooling),
    rmsFraction: rmsCurrentFraction(segments, motor),
    peak: peakTorque,
    drivingPower,
    brakingPower,
    drivingEnergy,
    brakingEnergy,
    highestSpeed: Math.max(...speeds),
    speedRange: program === undefined ? 1 : Math.max(...speeds) / Math.min(...speeds),
    ...(rotor !== undefined &&
      rotor > 0 &&
      isHeavier(model, Math.min(first, last), rotor) && {
        loadRatio: [ratioAt(Math.min(first, last)), ratioAt(Math.max(first, last))] as const,
      }),
  };
}

/** A stated rotor that is heavier than all that was measured to turn makes no ratio. */
const isHeavier = (model: DriveModel, radius: Length, rotor: number): boolean =>
  model.stopping(2 * radius).inertia / model.drive.sides.gearRatio ** 2 >= rotor;

const heatFinding = (model: DriveModel, duty: DriveDuty, units: UnitSystem): Finding => ({
  code: 'motor_overheated',
  severity: duty.rmsFraction > 1 ? 'refuse' : 'warn',
  message: `${model.name}: over a cycle its torque current is ${formatNumber(100 * duty.rmsFraction, 3)} % of rated (RMS ${formatQuantity(duty.rms, 'torque', units)})`,
  where: { pointer: model.section.pointer, section: model.section.name },
  next: 'lower tension, speed or acceleration, change the gear ratio, or take a larger motor',
});
