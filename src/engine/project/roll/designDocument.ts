import type { DesignedSchedule } from '../../program/roll/design/designSchedule.js';
import type { DesignLimits, DesignTarget } from '../../program/roll/design/designTarget.js';
import type { ScheduleLaw } from '../../program/schedule/types.js';
import { plain, tidy } from '../plain.js';
import type { ScheduleDocument } from '../product/productDocument.js';
import { type RollProfile, toRollProfile } from './places.js';

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
  /** Between what it was designed, with what makes each end. */
  readonly limits: readonly {
    readonly knob: string;
    readonly name: string;
    readonly low_N_per_m?: number;
    readonly high_N_per_m?: number;
    readonly diameter_m?: number;
  }[];
  readonly tension: ScheduleDocument;
  readonly torque_differential?: ScheduleDocument;
  readonly nip?: ScheduleDocument;
  /** What is in the roll that is wound so. */
  readonly profile: RollProfile;
}

/** A designed schedule as a document. */
export function toDesignDocument(
  target: DesignTarget,
  made: DesignedSchedule,
  limits: DesignLimits,
): DesignDocument {
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
    limits: limitList(limits),
    tension: scheduleDocument(tension),
    ...(torqueDifferential && { torque_differential: scheduleDocument(torqueDifferential) }),
    ...(nipSchedule && { nip: scheduleDocument(nipSchedule) }),
    profile: toRollProfile(made.prediction),
  });
}

/** Ends of the ranges, and of what motors bear the tightest force at the surface of the roll, with the diameter where it is that. */
function limitList({ tension, nip, names = {}, shares }: DesignLimits): DesignDocument['limits'] {
  const stated = 'stated in the roll';
  const motors = [shares?.motor1, shares?.motor2].flatMap((motor) => {
    if (motor === undefined || shares === undefined) return [];
    const at = motor.upper.reduce((a, v, i) => (v < (motor.upper[a] as number) ? i : a), 0);
    return [
      {
        knob: 'force at the roll',
        name: `motor of ${motor.name}`,
        low_N_per_m: tidy(motor.lower[at] as number),
        high_N_per_m: tidy(motor.upper[at] as number),
        diameter_m: tidy(shares.diameters[at] as number),
      },
    ];
  });
  return [
    { knob: 'tension', name: names.lowestTension ?? stated, low_N_per_m: tidy(tension[0]) },
    { knob: 'tension', name: names.highestTension ?? stated, high_N_per_m: tidy(tension[1]) },
    ...(nip
      ? [
          { knob: 'nip', name: names.lowestNip ?? stated, low_N_per_m: tidy(nip[0]) },
          { knob: 'nip', name: names.highestNip ?? stated, high_N_per_m: tidy(nip[1]) },
        ]
      : []),
    ...motors,
    ...[shares?.drum, shares?.frontDrum].flatMap((drum) =>
      drum === undefined
        ? []
        : [{ knob: 'force at the roll', name: `grip of ${drum.name}, friction ${drum.friction}` }],
    ),
  ];
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
