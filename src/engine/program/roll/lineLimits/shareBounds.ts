import type { Angle, Length, Ratio, TensionPerWidth } from '../../../units/quantity.js';
import {
  type DifferentialRange,
  differentialRange,
  drumTraction,
  type ForceRange,
  type ShareLimit,
  type ShareLimits,
} from '../../torqueDifferential.js';

/** What one motor can make at the surface of the roll, over the diameter. */
export interface MotorBounds {
  readonly name: string;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

/** What motors and drums of a winder bear, as plain numbers; a motor that is not known bounds nothing. */
export interface ShareBounds {
  /** Diameters of the entries of the motors, rising [m]. */
  readonly diameters: Float64Array;
  readonly motor1?: MotorBounds;
  readonly motor2?: MotorBounds;
  /** The drum that passes share 2 on (the rear drum of two), and the front drum, which passes share 1 on. */
  readonly drum?: { readonly name: string; readonly friction: Ratio; readonly wrap: Angle };
  readonly frontDrum?: { readonly name: string; readonly friction: Ratio };
}

const unbounded: ForceRange = { lower: Number.NEGATIVE_INFINITY, upper: Number.POSITIVE_INFINITY };

/** Torque differentials that motors and drums allow at a diameter [m] for a tension and a nip [N/m], and which limit binds. Source: {@link differentialRange}, {@link drumTraction}. */
export function allowedDifferential(
  bounds: ShareBounds,
  diameter: Length,
  tension: TensionPerWidth,
  nip: TensionPerWidth,
): DifferentialRange {
  const { diameters, motor1, motor2, drum, frontDrum } = bounds;
  const motor = (of: MotorBounds | undefined): ForceRange =>
    of === undefined
      ? unbounded
      : { lower: between(diameters, of.lower, diameter), upper: between(diameters, of.upper, diameter) };
  const limits: ShareLimits = {
    motor1: motor(motor1),
    motor2: motor(motor2),
    ...(frontDrum && { traction1: { lower: -frontDrum.friction * nip, upper: frontDrum.friction * nip } }),
    ...(drum && { traction2: drumTraction(drum.friction, nip, tension, drum.wrap) }),
  };
  return differentialRange(tension, limits);
}

/** What a limit of {@link allowedDifferential} is called in a sentence. */
export function limitName({ motor1, motor2, drum, frontDrum }: ShareBounds, limit: ShareLimit): string {
  switch (limit) {
    case 'motor1':
      return `the motor of ${motor1?.name ?? 'the roll'}`;
    case 'motor2':
      return `the motor of ${motor2?.name ?? 'the drum'}`;
    case 'traction1':
      return `the grip of ${frontDrum?.name ?? 'the front drum'}`;
    case 'traction2':
      return `the grip of ${drum?.name ?? 'the drum'}`;
  }
}

/** Value at a diameter between entries, straight, held at the ends. */
function between(diameters: Float64Array, values: Float64Array, diameter: Length): number {
  const n = diameters.length;
  let k = 1;
  while (k < n - 1 && (diameters[k] as number) < diameter) k++;
  const [d0, d1] = [diameters[k - 1] as number, diameters[k] as number];
  const share = Math.min(1, Math.max(0, (diameter - d0) / (d1 - d0)));
  return (1 - share) * (values[k - 1] as number) + share * (values[k] as number);
}
