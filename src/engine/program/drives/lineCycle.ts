import type { Acceleration, Length, Speed, Time } from '../../units/quantity.js';
import type { DutySegment } from '../duty/cycle.js';
import type { DriveModel } from './driveModel.js';
import { programTorque } from './programTorque.js';

/** A cycle of the line: one roll, from rest to rest. */
export interface LineCycle {
  readonly speed: Speed;
  readonly acceleration: Acceleration;
  /** Magnitude of the deceleration of the stop. */
  readonly stop: Acceleration;
  /** Time at top speed, in which the whole roll is run. */
  readonly runTime: Time;
  readonly standstill: Time;
}

/** Pieces of a run, equal in radius; their times follow from the web that they hold, so length and angle of the run are exact. */
const runPieces = 80;
/** Pieces of a ramp, equal in speed. */
const rampPieces = 10;

/**
 * What a cycle of the line asks of one motor, as pieces with the torque of their middle [N·m, rad/s, s]. `first` and `last` radius of its roll [m], any number
 * for a roller of fixed radius. Pieces without duration stand for the corners, where peaks are. Source: docs/models/drive-duty.md.
 */
export function lineCycle(
  model: DriveModel,
  { speed, acceleration, stop, runTime, standstill }: LineCycle,
  first: Length,
  last: Length,
): DutySegment[] {
  const point = (duration: Time, radius: Length, v: Speed, a: Acceleration): DutySegment => ({
    duration,
    torque: programTorque(model, 2 * radius, v, a),
    speed: model.motorSpeed(2 * radius, v),
  });
  const ramp = (radius: Length, rate: Acceleration): DutySegment[] =>
    Array.from({ length: rampPieces }, (_, k) => {
      const place = rate > 0 ? k : rampPieces - 1 - k;
      const [from, to] = rate > 0 ? [place, place + 1] : [place + 1, place];
      const step = speed / rampPieces;
      return {
        duration: step / Math.abs(rate),
        torque: programTorque(model, 2 * radius, (place + 0.5) * step, rate),
        speed: model.motorSpeed(2 * radius, from * step),
        endSpeed: model.motorSpeed(2 * radius, to * step),
      };
    });
  const run = Array.from({ length: runPieces }, (_, k) => {
    const radius = first + ((last - first) * (k + 0.5)) / runPieces;
    const share = model.roll === undefined ? 1 : (2 * radius) / (first + last);
    return point((runTime / runPieces) * share, radius, speed, 0);
  });
  return [
    ...ramp(first, acceleration),
    point(0, first, speed, acceleration),
    point(0, first, speed, 0),
    ...run,
    point(0, last, speed, 0),
    point(0, last, speed, -stop),
    ...ramp(last, -stop),
    ...(standstill > 0 ? [point(standstill, last, 0, 0)] : []),
  ];
}
