import type { Finding, Verdict } from '../findings.js';

/** What a stretch of a played recording is: a start from rest, a change of speed, steady running, or running out with the drive off. */
export const playedKinds = ['start', 'ramp', 'running', 'coast'] as const;
export type PlayedKind = (typeof playedKinds)[number];

/** Largest magnitude and root mean square of a torque over time [N·m]. */
export interface PeakAndRms {
  readonly peak: number;
  readonly rms: number;
}

/** Torque that the web would have had to give, without and with the feed-forward. */
export interface PlayedPair {
  readonly without: PeakAndRms;
  readonly with: PeakAndRms;
}

export interface PlayedStretch extends PlayedPair {
  readonly kind: PlayedKind;
  /** [s] on the recording's own axis. */
  readonly from: number;
  readonly to: number;
}

/** All stretches of a kind together. */
export interface PlayedSummary extends PlayedPair {
  readonly kind: PlayedKind;
  readonly count: number;
  /** Time of them all [s]. */
  readonly duration: number;
}

/** What the web would have felt in a recording. Torques at the motor shaft [N·m], NaN where nothing can be said. */
export interface PlayedFeedForward {
  readonly verdict: Verdict;
  readonly findings: readonly Finding[];
  /** Web force at the roller surface per torque at the motor, i/r [1/m]; absent without a roller radius. */
  readonly forcePerTorque?: number;
  /** Length of the windows that everything is averaged over [s]. */
  readonly average: number;
  /** How late the torque was taken to be [s]. */
  readonly delay: number;
  /** Torque offset that was taken off the recorded torque [N·m]; 0 when it was left in. */
  readonly offset: number;
  /** Standard deviation of `with` that the noise of speed and torque samples alone makes [N·m]. */
  readonly noise: number;
  /** Time in motion for which the table has no row [s]; `with` is NaN there. */
  readonly beyondTable: number;
  /** Middles of the windows [s]. */
  readonly time: Float64Array;
  /** Motor speed [rad/s]. */
  readonly speed: Float64Array;
  readonly without: Float64Array;
  readonly with: Float64Array;
  readonly stretches: readonly PlayedStretch[];
  readonly summary: readonly PlayedSummary[];
}
