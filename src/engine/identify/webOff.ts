import type { Finding } from '../findings.js';
import type { Drive } from '../line/drive.js';
import { noiseLevel } from '../recording/segment.js';
import { breakawayEstimate, findStarts, type Start } from './breakaway.js';
import { fitStartingMotion, type StartingMotion } from './breakawayMotion.js';
import { advanced, type DelayEstimate, estimateDelay } from './delay.js';
import { dragCurve } from './dragCurve.js';
import { type Fit, fitRows, termEstimate, termIndex } from './fit.js';
import { type DriveFit, fitDrive } from './fitDrive.js';
import type { DragPoint, Estimates, NotEstimated, ParameterName, RampPairInertia } from './identification.js';
import { checkInstruments } from './instruments.js';
import type { FitContext } from './observations.js';
import { rampPairs } from './rampPairs.js';
import * as remark from './remarks.js';
import { fitRipple } from './ripple.js';
import type { DriveSignals } from './signals.js';
import type { Scales, Stretch } from './stretch.js';
import { plateauLevels } from './support.js';
import { systematicCovariance, withAddedCovariance } from './systematic.js';

export interface WebOffOptions {
  /** 'auto' estimates the delay between torque and speed and corrects it; a number [s] is taken as it is. */
  readonly compensateDelay: 'auto' | number;
}

/** What a recording without web says: everything that goes into an Identification, except what is the same for all. */
export interface WebOffResult {
  readonly stretches: readonly Stretch[];
  readonly delay: number;
  readonly direction?: 1 | -1;
  readonly estimates: Estimates;
  readonly reverse?: { readonly estimates: Estimates };
  readonly symmetric?: { readonly estimates: Estimates };
  readonly notEstimated: readonly NotEstimated[];
  readonly covariance?: {
    readonly names: readonly ParameterName[];
    readonly matrix: readonly (readonly number[])[];
  };
  readonly dragCurve?: readonly DragPoint[];
  readonly dragCurveReverse?: readonly DragPoint[];
  readonly rampPairs?: readonly RampPairInertia[];
  readonly starts: readonly Start[];
  readonly speedRange?: readonly [number, number];
  readonly fit?: Fit;
  /** Motor torque with the delay corrected [N·m]. */
  readonly torque?: Float64Array;
}

/**
 * Shares of the speed range below which nothing is taken unless a Stribeck term is fitted there. Ramps and coast-downs
 * pass low speed quickly, so an excess drag there hardly counts; a plateau would weigh it fully.
 */
const lowSpeedShare = 0.01;
const lowPlateauShare = 0.05;

const fitted = ['inertia', 'coulomb', 'viscous', 'quadratic', 'stribeck', 'stribeckSpeed', 'offset'] as const;

/** Identifies a drive from a recording without web. Pushes findings; returns what could be estimated. */
export function identifyWebOff(
  signals: DriveSignals,
  foundStretches: readonly Stretch[],
  drive: Drive,
  scales: Scales,
  options: WebOffOptions,
  findings: Finding[],
): WebOffResult {
  const lowestPlateau = lowPlateauShare * scales.range;
  const lowestSpeed = Math.max(lowSpeedShare * scales.range, scales.restSpeed);
  const seen: DelayEstimate | undefined =
    options.compensateDelay === 'auto' ? estimateDelay(signals, foundStretches, lowestPlateau) : undefined;
  const delay =
    options.compensateDelay === 'auto' ? (seen?.significant ? seen.delay : 0) : options.compensateDelay;
  if (delay !== 0) findings.push(remark.channelDelay(delay, seen, signals.interval));
  const torque = signals.torque && advanced(signals.time, signals.torque, delay);
  const noise = torque && noiseLevel(torque);
  const found = torque === undefined ? [] : findStarts(signals, torque, scales, undefined, noise);
  const motion = torque && fitStartingMotion(signals, torque, found, scales, drive);
  // The inertia that the motion after the starts shows will do until the whole recording gives a better one.
  const starts =
    torque !== undefined && motion !== undefined && isKnown(motion.inertia)
      ? findStarts(signals, torque, scales, motion.inertia.value, noise)
      : found;
  const stretches = markBreakaways(foundStretches, starts);
  const trim = Math.max(2 * signals.interval, 3 * Math.abs(delay));
  const context: FitContext = {
    signals,
    torque,
    stretches,
    drive,
    scales,
    cutting: { trim, fineness: 1, lowestSpeed, lowestPlateau },
  };
  const result = fitDrive(context);
  const base = { stretches, delay, starts, torque };
  if (result === undefined || onlyNudged(signals, stretches, starts, drive, scales)) {
    findings.push(remark.noDesignedTest(starts.some((s) => s.event !== undefined)));
    const corrected = withoutTorque(starts, (time) => motion?.rippleAt(time) ?? 0);
    const estimates: Estimates = { breakaway: breakawayOf(corrected, 1, motion) };
    return {
      ...base,
      starts: corrected,
      estimates: defined(estimates),
      notEstimated: remark.nothingFitted(estimates),
    };
  }
  const rippled = fitRipple(signals, result.fit, drive);
  if (rippled !== undefined) findings.push(remark.ripple(rippled.ripples));
  const added = systematicCovariance(result.context, result.fit, seen?.standardError ?? 0);
  const fit = checked(signals, withAddedCovariance(rippled?.fit ?? result.fit, added), findings);
  const offset = usableOffset(fit, starts);
  const inertia = termEstimate(fit, 'inertia', result.directions[0]);
  const known = inertia !== undefined && isKnown(inertia);
  const again =
    torque !== undefined && known ? findStarts(signals, torque, scales, inertia.value, noise) : starts;
  // Torque that the shaft's angle asks for at rest is no part of its breakaway: starts from several angles scatter by it.
  const corrected = withoutTorque(
    again,
    (time) => offset + (motion?.rippleAt(time) ?? rippled?.torqueAt(time) ?? 0),
  );
  const marked = markUnused(stretches, fit, result.context.cutting.lowestPlateau);
  const collected = collect({ ...result, fit }, marked, corrected, motion, drive, scales, findings);
  const pairs = collected.estimates.inertia && rampPairs(signals, fit.rows, marked);
  return { ...base, stretches: marked, starts: corrected, fit, rampPairs: pairs, ...collected };
}

/** Motion that stays below this share of top speed and holds no steady speed is what a breakaway test leaves behind. */
const nudgeShare = 0.1;
const shortestTestPlateau = 0.5;

/** True when the shaft was only set in motion by breakaway tests: nothing to fit a drag to. */
function onlyNudged(
  signals: DriveSignals,
  stretches: readonly Stretch[],
  starts: readonly Start[],
  drive: Drive,
  scales: Scales,
): boolean {
  if (!starts.some((s) => s.event !== undefined)) return false;
  const slow = scales.range < nudgeShare * (drive.maxMotorSpeed ?? Number.POSITIVE_INFINITY);
  // A turning point of a nudge may look steady for a moment; a plateau of a test lasts.
  const lasting = stretches.filter(
    (s) => s.kind === 'plateau' && signals.time[s.end - 1] - signals.time[s.start] > shortestTestPlateau,
  );
  return (
    slow &&
    plateauLevels(lasting, 1, scales.range).length + plateauLevels(lasting, -1, scales.range).length < 2
  );
}

/** Bias below this share of the inertia is left alone; a score above this is not chance. */
const materialBias = 0.01;
const chanceScore = 3.3;
/** An inertia that seems to change by more than this share from low to top speed is not an inertia. */
const materialSlope = 0.04;

/** The fit after two checks of its inertia: by instruments from the speed reference, and over speed. */
function checked(signals: DriveSignals, fit: Fit, findings: Finding[]): Fit {
  const slope = inertiaOverSpeed(signals, fit);
  if (slope !== undefined && Math.abs(slope.share) > materialSlope && Math.abs(slope.score) > chanceScore)
    findings.push(remark.inertiaVaries(slope.share));
  const check = checkInstruments(signals, fit);
  if (
    check === undefined ||
    Math.abs(check.inertiaChange) < materialBias ||
    Math.abs(check.score) < chanceScore
  )
    return fit;
  findings.push(remark.closedLoopBias(check.inertiaChange));
  return check.fit;
}

/** Change of the apparent inertia from standstill to the highest speed, as a share of it, and its score. */
function inertiaOverSpeed(signals: DriveSignals, fit: Fit): { share: number; score: number } | undefined {
  const j = termIndex(fit, 'inertia', fit.rows[0].direction);
  if (j < 0) return undefined;
  const terms = [...fit.model.terms, { name: 'inertiaSlope', direction: 0 } as const];
  const sloped = fitRows(fit.rows, { ...fit.model, terms }, signals);
  if (sloped === undefined) return undefined;
  const p = terms.length;
  const top = Math.max(...fit.rows.map((r) => Math.abs(r.speed)));
  return {
    share: (sloped.coefficients[p - 1] * top) / fit.coefficients[j],
    score: sloped.coefficients[p - 1] / Math.sqrt(sloped.covariance[p * p - 1]),
  };
}

const isKnown = (inertia: { readonly value: number; readonly standardError: number }): boolean =>
  inertia.value > 5 * inertia.standardError;

function breakawayOf(
  starts: readonly Start[],
  direction: 1 | -1,
  motion: StartingMotion | undefined,
): ReturnType<typeof breakawayEstimate> {
  const events = starts.flatMap((s) => (s.event?.direction === direction ? [s.event] : []));
  return breakawayEstimate(events, motion?.meanRippleVariance(events.map((e) => e.time)));
}

/** The torque offset [N·m], if it is known well enough to take it out of breakaway torques; else 0. */
function usableOffset(fit: Fit, starts: readonly Start[]): number {
  const offset = termEstimate(fit, 'offset', 1);
  const smallest = Math.min(...starts.map((s) => s.event?.torque ?? Number.POSITIVE_INFINITY));
  return offset !== undefined && offset.standardError < 0.03 * smallest ? offset.value : 0;
}

/** The starts with a torque taken out that the fit knows [N·m]: offset, ripple at the angle of the start. */
function withoutTorque(starts: readonly Start[], torqueAt: (time: number) => number): Start[] {
  return starts.map((s) =>
    s.event === undefined
      ? s
      : {
          ...s,
          event: { ...s.event, torque: s.event.torque - s.event.direction * torqueAt(s.event.time) },
        },
  );
}

function defined(estimates: Estimates): Estimates {
  return Object.fromEntries(Object.entries(estimates).filter(([, v]) => v !== undefined));
}

/** Turns the fit into estimates a direction, with findings for what is wrong or missing. */
function collect(
  result: DriveFit,
  stretches: readonly Stretch[],
  starts: readonly Start[],
  motion: StartingMotion | undefined,
  drive: Drive,
  scales: Scales,
  findings: Finding[],
): Omit<WebOffResult, 'stretches' | 'delay' | 'starts' | 'torque' | 'fit' | 'rampPairs'> {
  const { fit, directions } = result;
  const [main] = directions;
  const notEstimated: NotEstimated[] = [...result.notEstimated];
  const inertia = termEstimate(fit, 'inertia', main);
  const wrongSign = remark.signConvention(fit, main, scales);
  if (wrongSign !== undefined) {
    findings.push(wrongSign);
    return { estimates: {}, notEstimated: remark.nothingFitted({}) };
  }
  const separable = result.support.get(main)?.viscous === true || hasBothAccelerations(fit);
  const inertiaUsable =
    separable && inertia !== undefined && inertia.value > 0 && inertia.standardError < 0.2 * inertia.value;
  if (!result.hasInertia) {
    findings.push(remark.noAcceleration());
    notEstimated.push(remark.missingInertia('the speed hardly changes while the drive is on'));
  } else if (!inertiaUsable) {
    findings.push(remark.inertiaNotIdentifiable(separable ? inertia : undefined));
    notEstimated.push(remark.missingInertia('the ramps are too slow or too noisy against the drag'));
  }
  const estimatesOf = (direction: 1 | -1, from: Fit): Estimates => {
    const estimates: { -readonly [K in ParameterName]?: Estimates[K] } = {};
    for (const name of fitted) estimates[name] = termEstimate(from, name, direction);
    if (estimates.stribeckSpeed !== undefined && from.model.stribeck !== undefined)
      estimates.stribeckSpeed = remark.shifted(estimates.stribeckSpeed, from.model.stribeck.speed);
    if (!inertiaUsable) delete estimates.inertia;
    const support = result.support.get(direction);
    // At one speed the drag is one number; calling it Coulomb would state a law that was not seen.
    if (support !== undefined && !support.viscous) delete estimates.coulomb;
    estimates.breakaway = breakawayOf(starts, direction, motion);
    return defined(estimates);
  };
  const support = result.support.get(main);
  if (support !== undefined) {
    if (!support.viscous) {
      findings.push(remark.oneSpeedOnly(support));
      notEstimated.push(remark.missingCoulomb());
    } else {
      const low = remark.lowSpeedOnly(support, drive);
      if (low !== undefined) findings.push(low);
    }
  }
  findings.push(...remark.directions(result, scales), ...remark.coast(stretches), ...remark.drift(result));
  const misfit = remark.misfit(fit, stretches);
  if (misfit !== undefined) findings.push(misfit);
  const estimates = estimatesOf(main, fit);
  if (estimates.breakaway === undefined) {
    findings.push(remark.noBreakawayTest(starts));
    notEstimated.push(remark.missingBreakaway(starts));
  }
  if (estimates.offset === undefined) notEstimated.push(remark.missingOffset(directions.length > 1));
  const other = directions.length > 1 ? directions[1] : undefined;
  const speeds = fit.rows.map((r) => Math.abs(r.speed));
  return {
    direction: main,
    estimates,
    notEstimated: notEstimated.filter((n) => estimates[n.name] === undefined),
    covariance: namedCovariance(fit, main, Object.keys(estimates) as ParameterName[]),
    ...(other !== undefined && {
      reverse: { estimates: estimatesOf(other, fit) },
      symmetric: result.symmetric && { estimates: estimatesOf(main, result.symmetric) },
      dragCurveReverse: dragCurve(result, fit.covariance, stretches, other),
    }),
    dragCurve: dragCurve(result, fit.covariance, stretches, main),
    speedRange: [Math.min(...speeds), Math.max(...speeds)],
  };
}

/**
 * True when the speed was swept up and down in one direction, or coasted: only then does inertia separate from a drag
 * whose course over speed is not known from plateaus.
 */
function hasBothAccelerations(fit: Fit): boolean {
  return ([1, -1] as const).some((direction) => {
    const rows = fit.rows.filter((r) => r.direction === direction);
    const fastest = Math.max(0, ...rows.map((r) => Math.abs(r.acceleration)));
    const swept = (sign: number): boolean => rows.some((r) => sign * r.acceleration > 0.1 * fastest);
    return swept(1) && swept(-1);
  });
}

function namedCovariance(
  fit: Fit,
  direction: 1 | -1,
  reported: readonly ParameterName[],
): { names: ParameterName[]; matrix: number[][] } {
  const names = fitted.filter((n) => reported.includes(n) && termIndex(fit, n, direction) >= 0);
  const index = names.map((n) => termIndex(fit, n, direction));
  const p = fit.model.terms.length;
  return { names: [...names], matrix: index.map((i) => index.map((j) => fit.covariance[i * p + j])) };
}

/** The stretches as the fit used them: one that gave no window says why. */
function markUnused(stretches: readonly Stretch[], fit: Fit, lowestPlateau: number): Stretch[] {
  const inFit = new Set(fit.rows.map((r) => r.stretch));
  return stretches.map((s, k) => {
    if (!s.used || s.kind === 'breakaway' || inFit.has(k)) return s;
    const slow = s.kind === 'plateau' && Math.abs(s.level) < lowestPlateau;
    const reason = slow
      ? 'left out: drag rises towards standstill there, and the recording does not support a Stribeck term'
      : 'left out: nothing of it remains once corners, gaps and standstill are cut off';
    return { ...s, used: false, why: `${s.why}; ${reason}` };
  });
}

/** Rests in which a torque ramp ends in motion become breakaway stretches; the motion that follows such a ramp stays as it was. */
function markBreakaways(stretches: readonly Stretch[], starts: readonly Start[]): Stretch[] {
  const out: Stretch[] = [];
  for (const s of stretches) {
    const start = starts.find((b) => b.event !== undefined && b.rampStart < s.end && b.motionStart > s.start);
    if (start?.event === undefined || (s.kind !== 'rest' && s.kind !== 'excluded')) {
      out.push(s);
      continue;
    }
    const from = Math.max(s.start, start.rampStart);
    if (from > s.start) out.push({ ...s, end: from });
    const to = Math.max(from + 1, Math.min(s.end, start.motionStart));
    out.push({
      ...s,
      kind: 'breakaway',
      start: from,
      end: to,
      used: true,
      why: `torque rises at ${start.event.rate.toPrecision(3)} N·m/s after ${start.event.dwell.toPrecision(3)} s of rest until motion starts`,
    });
    if (to < s.end) out.push({ ...s, start: to });
  }
  return out;
}
