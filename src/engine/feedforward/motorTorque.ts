/**
 * From the torque at the roller to that at the motor. What an identification saw at the motor stays at the motor; what is known of the
 * roller passes the gearbox. Two unions keep motor inertia and gear losses from being counted twice. Theory: docs/models/drive-torque.md.
 */
import { TautlineError } from '../errors.js';
import { type DragLaw, dragTorque } from '../line/drag.js';
import { type Gearbox, gearFactor, requireGearbox } from '../line/gearbox.js';
import type { AngularAcceleration, AngularSpeed, Inertia, Ratio, Torque } from '../units/quantity.js';
import type { Body, TorqueParts } from './rollerTorque.js';

/**
 * Inertia of a drive without what is wound on it [kg·m²], in one of two forms. `identified`: all that turned in the test, stated at the
 * motor; motor and gearbox are in it. `parts`: each on its own; the gearbox at the motor shaft.
 */
export type DriveInertia =
  | { readonly from: 'identified'; readonly inertiaAtMotor: Inertia }
  | {
      readonly from: 'parts';
      readonly inertiaAtRoller: Inertia;
      readonly gearboxInertia: Inertia;
      readonly motorInertia: Inertia;
    };

/**
 * Drag of a drive, in one of two forms. `identified`: seen at the motor; what the gearbox loses without load is in it, and it takes the
 * motor's speed. `estimated`: of the bearings and seals of the roller, at the roller's speed; what the gearbox loses without load is not
 * in it, unless its efficiency says so.
 */
export type DriveDrag =
  | { readonly from: 'identified'; readonly dragAtMotor: DragLaw }
  | { readonly from: 'estimated'; readonly dragAtRoller: DragLaw };

const noDrag: DragLaw = { coulomb: 0, viscous: 0, quadratic: 0, stribeck: 0, stribeckSpeed: 1 };

/** A drive sorted by side: each part of inertia and drag stands on exactly one. */
export interface DriveSides {
  readonly gearRatio: Ratio;
  /** Torque at the motor over torque at the roller when it drives and when it brakes, see gearFactor [1]. */
  readonly drivingFactor: Ratio;
  readonly brakingFactor: Ratio;
  readonly inertiaAtRoller: Inertia;
  readonly inertiaAtMotor: Inertia;
  /** Takes the roller's speed. */
  readonly dragAtRoller: DragLaw;
  /** Takes the motor's speed. */
  readonly dragAtMotor: DragLaw;
}

/**
 * Sorts a drive by side, once before a loop. An undefined inertia or drag is left out: saying so is the caller's part.
 * @throws TautlineError argument_invalid for a gearbox that is none or an inertia that is negative
 */
export function driveSides(
  gearbox: Gearbox,
  inertia: DriveInertia | undefined,
  drag: DriveDrag | undefined,
): DriveSides {
  requireGearbox(gearbox);
  for (const [name, value] of Object.entries(inertia ?? {}))
    if (typeof value === 'number' && !(value >= 0))
      throw new TautlineError(
        'argument_invalid',
        { [name]: value },
        `${name} ${value} kg·m² is negative or no number`,
        'state an inertia of at least 0',
      );
  const parts = inertia?.from === 'parts' ? inertia : undefined;
  return {
    gearRatio: gearbox.ratio,
    drivingFactor: gearFactor(gearbox, 1, 1),
    brakingFactor: gearFactor(gearbox, -1, 1),
    inertiaAtRoller: parts?.inertiaAtRoller ?? 0,
    inertiaAtMotor:
      inertia?.from === 'identified'
        ? inertia.inertiaAtMotor
        : (parts?.gearboxInertia ?? 0) + (parts?.motorInertia ?? 0),
    dragAtRoller: drag?.from === 'estimated' ? drag.dragAtRoller : noDrag,
    dragAtMotor: drag?.from === 'identified' ? drag.dragAtMotor : noDrag,
  };
}

/**
 * Drag of both sides at the roller, M + i·M_m [N·m], a magnitude. ω speed of the roller [rad/s], i gear ratio [1]. Valid: without the load losses of
 * the gearbox, which act on what passes the teeth. Source: power through a gear.
 */
export const dragOfSides = (
  { gearRatio, dragAtRoller, dragAtMotor }: DriveSides,
  speed: AngularSpeed,
): Torque => dragTorque(dragAtRoller, speed) + gearRatio * dragTorque(dragAtMotor, gearRatio * speed);

/**
 * Torque at the motor [N·m], u·k + J_m·i·α + s·(M_m + A_m):
 *
 * u torque at the roller [N·m] from rollerTorque.ts, of the inertia and drag on the roller's side and of what is wound on it;
 * k from roller to motor by the direction of the power through the gearbox, see gearFactor [1]; J_m inertia on the motor's side [kg·m²];
 * i gear ratio [1]; ω, α rotational speed [rad/s] and acceleration [rad/s²] of the roller; s sign of ω, standstill counts as forward;
 * M_m, A_m drag and assist at the motor [N·m], magnitudes. `parts` come in at the roller and go out at the motor.
 *
 * The direction is that of u alone, since what turns on the motor's side does not load the teeth, and u·k has no step in u. With identified
 * values u lacks the roller's own torque Y, which was seen at the motor as Y/i: the error is then at most |Y|·(1/η − 1)/i, and where Y
 * is larger than u and against it, |u|·(1/η − η)/i more. Source: torque balance of the motor shaft.
 */
export function motorTorque(
  { gearRatio, drivingFactor, brakingFactor, inertiaAtMotor }: DriveSides,
  torqueAtRoller: Torque,
  speedAtRoller: AngularSpeed,
  accelerationAtRoller: AngularAcceleration,
  dragAtMotor: Torque,
  assistAtMotor: Torque,
  parts?: TorqueParts,
): Torque {
  const rotation = speedAtRoller < 0 ? -1 : 1;
  const k = torqueAtRoller * rotation >= 0 ? drivingFactor : brakingFactor;
  const inertia = inertiaAtMotor * gearRatio * accelerationAtRoller;
  const drag = rotation * dragAtMotor;
  const assist = rotation * assistAtMotor;
  if (parts !== undefined) {
    parts.tension *= k;
    parts.inertia = parts.inertia * k + inertia;
    parts.drag = parts.drag * k + drag;
    parts.assist = parts.assist * k + assist;
  }
  return torqueAtRoller * k + inertia + drag + assist;
}

/**
 * {@link motorTorque} at one radius and speed over many accelerations at once [N·m], written into `into` from `offset` on: the inner loop
 * of a torque map, with everything that does not change taken out of it. Exact, since every relation of rollerTorque.ts is a straight
 * line in the acceleration: u(a) = u₀ + u'·a.
 *
 * u₀ torque at the roller at a = 0 [N·m]; u' = u(1 m/s²) − u₀ [N·m per m/s²], which does not depend on the speed; `roller` whose radius,
 * rate of radius and speed are taken, its acceleration is not; a accelerations of the surface [m/s²]; the rest as in
 * {@link motorTorque}. Source: as there.
 */
export function motorTorqueOverAccelerations(
  { gearRatio, drivingFactor, brakingFactor, inertiaAtMotor }: DriveSides,
  steadyTorque: Torque,
  torquePerAcceleration: number,
  roller: Body,
  dragAtMotor: Torque,
  assistAtMotor: Torque,
  accelerations: Float64Array,
  into: Float64Array,
  offset: number,
): void {
  const rotation = roller.speed < 0 ? -1 : 1;
  const perRadius = 1 / roller.radius;
  const atConstantSpeed = -roller.speed * (roller.radiusRate ?? 0) * perRadius * perRadius;
  const inertia = inertiaAtMotor * gearRatio;
  const against = rotation * (dragAtMotor + assistAtMotor) + inertia * atConstantSpeed;
  const perAcceleration = inertia * perRadius;
  for (let k = 0; k < accelerations.length; k++) {
    const u = steadyTorque + torquePerAcceleration * accelerations[k];
    into[offset + k] =
      u * (u * rotation >= 0 ? drivingFactor : brakingFactor) + perAcceleration * accelerations[k] + against;
  }
}
