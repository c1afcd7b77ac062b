import { type Finding, verdictOf } from '../findings.js';
import type { Drive } from '../line/drive.js';
import type { Recording, Role } from '../recording/recording.js';
import { type CoastOnlyResult, identifyCoastOnly } from './coastOnly.js';
import type { ChannelUse, FitTrace, Identification, Segment } from './identification.js';
import { nothingFitted } from './remarks.js';
import { checkMotion, checkSpeedSign, withoutSpikes } from './screen.js';
import { type DriveSignals, driveSignals } from './signals.js';
import type { Scales, Stretch } from './stretch.js';
import { findStretches, scalesOf, torqueLimitSeen } from './stretches.js';
import { fitTrace } from './trace.js';
import { type TimeRange, withUserChoices } from './userChoices.js';
import { identifyWebOff, type WebOffResult } from './webOff.js';
import { identifyWebOn, type WebOnResult } from './webOn.js';
import { isWebOn } from './webSignals.js';

export interface IdentifyOptions {
  /** 'auto' (default) estimates and corrects the delay between torque and speed; a number [s] is taken as it is. */
  readonly compensateDelay?: 'auto' | number;
  /**
   * Times [s] on the recording's own axis that the user takes out of the fit, or takes in although the program left them out. With the web
   * on there are no stretches to choose among, and both are without effect.
   */
  readonly exclude?: readonly TimeRange[];
  readonly include?: readonly TimeRange[];
}

/** A recording screened and cut into stretches: all of an identification that the user's choices do not touch. */
export interface Prepared {
  readonly recording: Recording;
  readonly drive: Drive;
  /** What was found on the way. */
  readonly findings: readonly Finding[];
  /** Absent when the recording was refused. */
  readonly ready?: {
    readonly signals: DriveSignals;
    readonly scales: Scales;
    readonly isWebOn: boolean;
    readonly isCoastOnly: boolean;
    /** Largest torque that counts as the limit [N·m]; undefined when it was never near. */
    readonly limit: number | undefined;
    readonly stretches: readonly Stretch[];
  };
}

/**
 * The part of {@link identify} that is the same whatever is taken out or in: for who identifies one recording many times.
 * Not a relation [1]. Source: definition.
 */
export function prepareIdentification(recording: Recording, drive: Drive): Prepared {
  const findings: Finding[] = [...recording.findings];
  const prepared = { recording, drive, findings };
  if (findings.some((f) => f.severity === 'refuse')) return prepared;
  const raw = driveSignals(recording, drive, findings);
  if (raw === undefined) return prepared;
  const rawScales = scalesOf(raw, drive);
  if (!checkMotion(raw, drive, rawScales, findings)) return prepared;
  const signals = withoutSpikes(raw, findings);
  const isSame = signals.speed === raw.speed && signals.torque === raw.torque;
  const scales = isSame ? rawScales : scalesOf(signals, drive);
  const limit = torqueLimitSeen(signals, drive);
  return {
    ...prepared,
    ready: {
      signals,
      scales,
      limit,
      isWebOn: isWebOn(signals, drive, scales),
      isCoastOnly:
        signals.torque === undefined || scales.torqueSpan < nothingShare * (drive.ratedTorque ?? 0),
      stretches: findStretches(signals, drive, scales, limit),
    },
  };
}

/**
 * Identifies inertia, drag and breakaway torque of one drive from one recording. Pure: the same recording gives the same
 * result. Data faults never throw; they are findings, and a refused result carries no numbers.
 * @throws TautlineError argument_invalid for a time range that is none
 * Everything is stated at the motor shaft, SI. Method: docs/models/drive.md.
 */
export const identify = (recording: Recording, drive: Drive, options: IdentifyOptions = {}): Identification =>
  identifyPrepared(prepareIdentification(recording, drive), options);

/** {@link identify} of a recording that is prepared already. The same result. @throws TautlineError as identify */
export function identifyPrepared(prepared: Prepared, options: IdentifyOptions = {}): Identification {
  const { recording, drive, ready } = prepared;
  const findings: Finding[] = [...prepared.findings];
  const refused = (): Identification => ({
    driveName: drive.name,
    verdict: verdictOf(findings),
    findings,
    channels: channelsUsed(recording, 0),
    segments: [],
    estimates: {},
    notEstimated: nothingFitted({}),
    breakawayEvents: [],
    inputs: recording.source,
  });
  const stop = (): boolean => findings.some((f) => f.severity === 'refuse');
  if (ready === undefined) return refused();
  const { signals, scales, isWebOn: webOn, isCoastOnly: coastOnly, limit } = ready;
  const stretches = webOn ? [...ready.stretches] : withUserChoices(ready.stretches, signals, scales, options);
  if (!webOn && !coastOnly && !checkSpeedSign(signals, stretches, scales, findings)) return refused();
  if (limit !== undefined) findings.push(saturated(stretches, signals, limit));
  const result: Result = webOn
    ? { ...identifyWebOn(signals, drive, scales, findings), stretches, delay: 0, starts: [] }
    : coastOnly
      ? { ...identifyCoastOnly(signals, stretches, scales, findings), stretches, delay: 0, starts: [] }
      : identifyWebOff(
          signals,
          stretches,
          drive,
          scales,
          { compensateDelay: options.compensateDelay ?? 'auto' },
          findings,
        );
  return stop()
    ? { ...refused(), segments: segmentsOf(result.stretches, signals), verdict: 'refused' }
    : assemble(result, signals, drive.name, recording, findings);
}

/** Below this share of rated torque a torque column reads nothing. */
const nothingShare = 0.01;

/** What the three ways of identifying have in common; each leaves out what it cannot say. */
type Result = Pick<WebOffResult, 'stretches' | 'delay' | 'starts' | 'estimates' | 'notEstimated'> &
  Partial<WebOffResult & WebOnResult & CoastOnlyResult>;

function assemble(
  result: Result,
  signals: DriveSignals,
  driveName: string,
  recording: Recording,
  findings: readonly Finding[],
): Identification {
  const { fit } = result;
  const trace: FitTrace | undefined = fit && fitTrace(signals, result.torque, fit, result.stretches);
  return {
    driveName,
    verdict: verdictOf(findings),
    findings,
    channels: channelsUsed(recording, result.delay),
    segments: segmentsOf(result.stretches, signals),
    direction: result.direction,
    estimates: result.estimates,
    notEstimated: result.notEstimated,
    reverse: result.reverse,
    symmetric: result.symmetric,
    covariance: result.covariance,
    dragCurve: result.dragCurve,
    dragCurveReverse: result.dragCurveReverse,
    apparentDragCurve: result.apparentDragCurve,
    rampPairs: result.rampPairs,
    dragOverInertia: result.dragOverInertia,
    inertiaOverDiameter: result.inertiaOverDiameter,
    rollDensity: result.rollDensity,
    stribeckExponent: fit?.model.stribeck?.exponent,
    breakawayEvents: result.starts.flatMap((s) => (s.event === undefined ? [] : [s.event])),
    speedRange: result.speedRange,
    residual: fit && {
      rms: Math.sqrt(fit.rss / fit.rows.reduce((s, r) => s + r.duration, 0)),
      autocorrelationTime: autocorrelationTime(fit.rows, fit.residuals),
    },
    trace,
    inputs: recording.source,
  };
}

/** Correlation time of the window residuals [s], from their lag-one correlation within stretches; 0 when uncorrelated. */
function autocorrelationTime(
  rows: readonly { readonly stretch: number; readonly time: number }[],
  residuals: Float64Array,
): number {
  let product = 0;
  let square = 0;
  let lag = 0;
  let n = 0;
  for (let i = 0; i + 1 < rows.length; i++) {
    if (rows[i].stretch !== rows[i + 1].stretch) continue;
    product += residuals[i] * residuals[i + 1];
    square += 0.5 * (residuals[i] ** 2 + residuals[i + 1] ** 2);
    lag += rows[i + 1].time - rows[i].time;
    n++;
  }
  const rho = square > 0 ? product / square : 0;
  return rho > 0 && rho < 1 ? -(lag / n) / Math.log(rho) : 0;
}

function saturated(stretches: readonly Stretch[], signals: DriveSignals, limit: number): Finding {
  const at = stretches.filter((s) => s.kind === 'excluded' && s.why.startsWith('torque at its limit'));
  const seconds = at.reduce((s, x) => s + signals.time[x.end - 1] - signals.time[x.start], 0);
  return {
    code: 'torque_saturated',
    severity: 'warn',
    message: `the torque sits at its limit of ${limit.toPrecision(4)} N·m for ${seconds.toPrecision(3)} s in ${at.length} stretches; they were left out`,
    where: { limit_Nm: limit, total_s: seconds, first_s: at.length > 0 ? signals.time[at[0].start] : 0 },
    next: 'repeat with slower ramps, so that the torque stays below 90 % of the limit',
  };
}

function segmentsOf(stretches: readonly Stretch[], signals: DriveSignals): Segment[] {
  return stretches.map((s) => ({
    kind: s.kind,
    from: signals.time[s.start],
    to: signals.time[s.end - 1],
    why: s.why,
    used: s.used,
  }));
}

/** The channels as they were taken; the delay stands at the late one of torque and speed. */
function channelsUsed(recording: Recording, delay: number): ChannelUse[] {
  const { timeSource, channels } = recording;
  const speedRole = (['motor-speed', 'roller-speed', 'motor-position'] as const).find(
    (r) => channels[r] !== undefined,
  );
  const late: Role | undefined = delay > 0 ? 'motor-torque' : delay < 0 ? speedRole : undefined;
  return [
    { role: 'time', header: timeSource.header, unit: timeSource.unit, delay: 0 },
    ...Object.values(channels).map((c) => ({
      role: c.role,
      header: c.header,
      unit: c.unit,
      delay: c.role === late ? Math.abs(delay) : 0,
    })),
  ];
}
