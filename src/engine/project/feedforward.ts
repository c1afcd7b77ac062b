import type { FeedForward, FeedForwardRow, FeedForwardTable } from '../feedforward/types.js';
import type { Finding, Verdict } from '../findings.js';
import type { Estimate } from '../identify/identification.js';
import { plain, tidy } from './plain.js';

export interface FeedForwardRowDocument {
  readonly speed_rad_per_s: number;
  readonly torque_Nm: number;
  readonly torque_percent?: number;
  readonly tugHalfWidth95_N?: number;
  readonly acceleratingTorque_Nm?: number;
  readonly deceleratingTorque_Nm?: number;
  readonly acceleratingTugHalfWidth95_N?: number;
  /** True below the lowest identified speed, where the law is followed to standstill. */
  readonly extrapolated?: true;
}

/** Table of one direction: straight lines between the rows. */
export interface FeedForwardTableDocument {
  readonly rows: readonly FeedForwardRowDocument[];
  readonly breakawayAssist?: {
    readonly torque_Nm: number;
    readonly interval95_Nm: readonly [number, number];
    readonly torque_percent?: number;
    readonly fadeSpeed_rad_per_s: number;
    readonly fadeTime_s: number;
  };
  readonly interpolationError_Nm?: number;
  readonly tolerance_Nm?: number;
  readonly identifiedRange_rad_per_s?: readonly [number, number];
  readonly notFilled_rad_per_s?: readonly [number, number];
}

/** `tautline/feedforward@1`: what `tautline feedforward` prints; everything at the motor shaft but the tug. */
export interface FeedForwardDocument extends FeedForwardTableDocument {
  readonly schema: 'tautline/feedforward@1';
  readonly name: string;
  readonly verdict: Verdict;
  readonly findings: readonly Finding[];
  readonly inertia_kgm2?: Estimate;
  readonly acceleration_m_per_s2?: number;
  readonly acceleration_rad_per_s2?: number;
  readonly offsetLeftOut_Nm?: Estimate;
  /** Speeds and torques as magnitudes. */
  readonly reverse?: FeedForwardTableDocument;
}

const optional = <K extends string>(key: K, value: number | undefined): { [P in K]?: number } =>
  (value === undefined ? {} : { [key]: tidy(value) }) as { [P in K]?: number };

const rowOut = (r: FeedForwardRow): FeedForwardRowDocument => ({
  speed_rad_per_s: tidy(r.speed),
  torque_Nm: tidy(r.torque),
  ...optional('torque_percent', r.fraction === undefined ? undefined : 100 * r.fraction),
  ...optional('tugHalfWidth95_N', r.tugHalfWidth),
  ...optional('acceleratingTorque_Nm', r.accelerating),
  ...optional('deceleratingTorque_Nm', r.decelerating),
  ...optional('acceleratingTugHalfWidth95_N', r.tugHalfWidthAccelerating),
  ...(r.extrapolated && { extrapolated: true as const }),
});

function tableOut(t: FeedForwardTable, ratedTorque: number | undefined): FeedForwardTableDocument {
  const { assist } = t;
  return {
    rows: t.rows.map(rowOut),
    ...(assist && {
      breakawayAssist: {
        torque_Nm: tidy(assist.torque),
        interval95_Nm: [tidy(assist.interval95[0]), tidy(assist.interval95[1])] as const,
        ...optional(
          'torque_percent',
          ratedTorque === undefined ? undefined : (100 * assist.torque) / ratedTorque,
        ),
        fadeSpeed_rad_per_s: tidy(assist.fadeSpeed),
        fadeTime_s: tidy(assist.fadeTime),
      },
    }),
    ...optional('interpolationError_Nm', t.interpolationError),
    ...optional('tolerance_Nm', t.tolerance),
    ...(t.identifiedRange && {
      identifiedRange_rad_per_s: [tidy(t.identifiedRange[0]), tidy(t.identifiedRange[1])] as const,
    }),
    ...(t.notFilled && { notFilled_rad_per_s: [tidy(t.notFilled[0]), tidy(t.notFilled[1])] as const }),
  };
}

/** The document of a feed-forward. A number that is absent stays absent. */
export function toFeedForwardDocument(f: FeedForward, ratedTorque: number | undefined): FeedForwardDocument {
  return plain({
    schema: 'tautline/feedforward@1',
    name: f.driveName,
    verdict: f.verdict,
    findings: f.findings,
    ...tableOut(f, ratedTorque),
    inertia_kgm2: f.inertia,
    ...optional('acceleration_m_per_s2', f.acceleration?.web),
    ...optional('acceleration_rad_per_s2', f.acceleration?.motor),
    offsetLeftOut_Nm: f.offsetLeftOut,
    reverse: f.reverse && tableOut(f.reverse, ratedTorque),
  });
}
