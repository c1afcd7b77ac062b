import type { DesignedSchedule, DesignTarget } from '../../program/roll/designSchedule.js';
import type { ScheduleLaw } from '../../program/schedule/types.js';
import { plain, tidy } from '../plain.js';
import type { ScheduleDocument } from '../product/productDocument.js';

/** A designed schedule, each knob as a table that a roll or product document takes. */
export interface DesignDocument {
  readonly target: string;
  readonly wanted: number;
  readonly reached: boolean;
  /** Margin [1], half spread of the pressure over its mean [1], or smallest hoop stress [Pa], as the target. */
  readonly value: number;
  readonly before: number;
  readonly because: readonly string[];
  readonly steps: number;
  readonly ended: string;
  readonly tension: ScheduleDocument;
  readonly torque_differential?: ScheduleDocument;
  readonly nip?: ScheduleDocument;
}

/** A designed schedule as a document. */
export function toDesignDocument(target: DesignTarget, made: DesignedSchedule): DesignDocument {
  const { tension, torqueDifferential, nipSchedule } = made.input;
  return plain({
    target: target.kind,
    wanted: target.kind === 'hoop stress' ? target.floor : target.wanted,
    reached: made.isReached,
    value: tidy(made.value),
    before: tidy(made.before),
    because: made.because,
    steps: made.steps,
    ended: made.ended,
    tension: scheduleDocument(tension),
    ...(torqueDifferential && { torque_differential: scheduleDocument(torqueDifferential) }),
    ...(nipSchedule && { nip: scheduleDocument(nipSchedule) }),
  });
}

/** A law as a schedule of a document [m, N/m]. Diameters to 10 µm, since a build-up may be a few millimetres; forces to 1 mN/m. */
export function scheduleDocument(law: ScheduleLaw): ScheduleDocument {
  const force = (x: number): number => Number(x.toFixed(3));
  if (law.law === 'table')
    return {
      law: 'table',
      diameters_m: law.points.map((p) => Number(p.diameter.toFixed(5))),
      values_N_per_m: law.points.map((p) => force(p.value)),
    };
  if (law.law === 'constant') return { law: 'constant', start_N_per_m: force(law.start) };
  return {
    law: law.law,
    ...(law.law === 'blend' && { linear_share: law.linearShare }),
    start_N_per_m: force(law.start),
    ...(law.taper !== undefined && { taper: law.taper }),
    ...(law.end !== undefined && { end_N_per_m: force(law.end) }),
  } as ScheduleDocument;
}
