import type { Finding } from '../../findings.js';
import { availableTorque, type Motor, ratedTorqueAt } from '../../line/motor.js';
import { formatNumber, formatQuantity } from '../../units/format.js';
import type { Length, Speed, UnitSystem } from '../../units/quantity.js';
import { LimitWatch, type ProgramLimit } from '../limits.js';
import type { MotorRow } from '../motorRow.js';
import type { DriveModel, Missing } from './driveModel.js';
import { programTorque } from './programTorque.js';

/** Rates at which the line changes its speed; what is not stated is not looked at. */
export interface LineRates {
  readonly speed: Speed;
  readonly acceleration?: number;
  /** Magnitude of the deceleration of a normal stop. */
  readonly stop?: number;
}

/** What a row of a program asks of each motor at its roll, at a diameter [m]: torques [N·m]. Source: docs/models/drive-torque.md. */
export const motorRows = (models: readonly DriveModel[], diameter: Length, rates: LineRates): MotorRow[] =>
  models.map((model) => {
    const { speed, acceleration, stop } = rates;
    const torque = model.torque(diameter, speed, 0);
    const { motor } = model.drive;
    return {
      name: model.name,
      speed: model.motorSpeed(diameter, speed),
      torque,
      ...(motor && { fraction: torque / motor.ratedTorque }),
      ...(acceleration !== undefined && {
        accelerating: programTorque(model, diameter, speed, acceleration),
      }),
      ...(stop !== undefined && { decelerating: programTorque(model, diameter, speed, -stop) }),
    };
  });

/** Speeds as shares of top speed at which a motor is looked at: it may be worst where the field is weakened or where it starts. */
const speedShares = [0.02, 0.25, 0.5, 0.75, 1];

/** Limits of one motor over the build of its roll, or at its one diameter. */
export interface MotorCheck {
  readonly limits: readonly ProgramLimit[];
  readonly findings: readonly Finding[];
}

/** A margin below this share of the limit is worth a warning. */
const narrow = 0.1;
/** A limit that is missed by less than this share is met. */
const rounding = 1e-6;

/**
 * Checks a motor at every working point of the line: short-time torque while running, speeding up and stopping, lasting torque while running, speed, and
 * whether power may flow the way it must [N·m, rad/s]. `where.pointer` of the findings points into the line. Source: docs/models/drive-torque.md.
 */
export function checkMotor(
  model: DriveModel,
  diameters: readonly Length[],
  rates: LineRates,
  units: UnitSystem,
): MotorCheck {
  const { motor } = model.drive;
  if (motor === undefined) return { limits: [], findings: [] };
  const peak = new LimitWatch(`short-time torque of ${model.name}`, 'below', 'Nm');
  const lasting = new LimitWatch(`lasting torque of ${model.name}`, 'below', 'Nm');
  const speed = new LimitWatch(`speed of ${model.name}`, 'below', 'rad_per_s');
  let wrongWay: { diameter: Length; torque: number } | undefined;
  const accelerations = [0, rates.acceleration, rates.stop === undefined ? undefined : -rates.stop];
  for (const diameter of diameters) {
    speed.see(diameter, model.motorSpeed(diameter, rates.speed), motor.maxSpeed);
    // Beyond its highest speed a motor gives nothing: its speed alone is then what is wrong.
    if (isOverspeed(motor, model.motorSpeed(diameter, rates.speed))) continue;
    const running = model.torque(diameter, rates.speed, 0);
    lasting.see(diameter, Math.abs(running), ratedTorqueAt(motor, model.motorSpeed(diameter, rates.speed)));
    for (const share of speedShares)
      for (const acceleration of accelerations) {
        if (acceleration === undefined) continue;
        const torque = programTorque(model, diameter, share * rates.speed, acceleration);
        const motorSpeed = model.motorSpeed(diameter, share * rates.speed);
        const available = availableTorque(motor, torque, motorSpeed);
        if (available === 0 && Math.abs(torque) > 0) {
          if (wrongWay === undefined || Math.abs(torque) > Math.abs(wrongWay.torque))
            wrongWay = { diameter, torque };
          continue;
        }
        peak.see(diameter, Math.abs(torque), available);
      }
  }
  const limits = [...peak.result(), ...lasting.result(), ...speed.result()];
  const findings = limits.flatMap((limit) => motorFinding(model, limit, units));
  if (wrongWay !== undefined) findings.push(powerFlowFinding(model, motor, wrongWay, units));
  return { limits, findings };
}

const isOverspeed = ({ maxSpeed }: Motor, speed: number): boolean =>
  maxSpeed !== undefined && Math.abs(speed) > maxSpeed * (1 + rounding);

function motorFinding(model: DriveModel, limit: ProgramLimit, units: UnitSystem): Finding[] {
  const isSpeed = limit.unit === 'rad_per_s';
  const broken = limit.margin < -rounding;
  // A highest speed may be used to the full; torque is needed for what no program foresees.
  if (isSpeed ? !broken : limit.margin >= narrow) return [];
  const quantity = limit.unit === 'Nm' ? 'torque' : 'angularSpeed';
  const show = (value: number): string => formatQuantity(value, quantity, units);
  const at =
    model.roll === undefined || !Number.isFinite(limit.diameter)
      ? ''
      : ` at a diameter of ${formatQuantity(limit.diameter, 'length', units)}`;
  const lasting = limit.name.startsWith('lasting');
  return [
    {
      code: isSpeed ? 'motor_too_slow' : lasting ? 'motor_overloaded' : 'motor_torque_exceeded',
      severity: broken ? 'refuse' : 'warn',
      message: `${model.name} needs ${show(limit.value)}${at}; its ${isSpeed ? 'highest speed' : lasting ? 'rated torque there' : 'torque limit there'} is ${show(limit.limit)}${broken ? '' : `, ${formatNumber(100 * limit.margin, 2)} % more`}`,
      where: { pointer: model.section.pointer, section: model.section.name },
      next: isSpeed
        ? 'lower the line speed, or change gear ratio or motor'
        : lasting
          ? 'lower the tension it holds, change the gear ratio, or take a larger motor; the duty over a cycle tells whether it stays cool'
          : 'accelerate more slowly, change the gear ratio, or take a larger motor',
    },
  ];
}

function powerFlowFinding(
  model: DriveModel,
  { powerFlow }: Motor,
  { diameter, torque }: { diameter: Length; torque: number },
  units: UnitSystem,
): Finding {
  const at = model.roll === undefined ? '' : ` at a diameter of ${formatQuantity(diameter, 'length', units)}`;
  return {
    code: 'power_flow_refused',
    severity: 'refuse',
    message: `${model.name} would have to ${powerFlow === 'braking' ? 'drive' : 'brake'} with ${formatQuantity(Math.abs(torque), 'torque', units)}${at}, and it can only ${powerFlow === 'braking' ? 'brake' : 'drive'}`,
    where: { pointer: model.section.pointer, section: model.section.name },
    next:
      powerFlow === 'braking'
        ? 'accelerate more slowly, so that the web can pull it up to speed, or give it a motor'
        : 'stop more slowly, or give it a drive that can take power back',
  };
}

/** What changes a torque by some percent only, so that leaving it out is worth no warning. */
const small: readonly Missing[] = ['gear inertia', 'roll drag'];

/** What the torques of a drive leave out, as one finding; none when nothing is missing. Not a relation [1]. Source: definition. */
export function missingFinding(model: DriveModel): Finding[] {
  if (model.missing.length === 0) return [];
  return [
    {
      code: 'drive_data_missing',
      severity: model.missing.every((m) => small.includes(m)) ? 'info' : 'warn',
      message: `${model.name}: not known: ${[...new Set(model.missing)].join(', ')}; its torque is stated without`,
      where: { pointer: model.section.pointer, section: model.section.name },
      next: 'identify the drive, or state what is missing in the line, its drive file or the product',
    },
  ];
}
