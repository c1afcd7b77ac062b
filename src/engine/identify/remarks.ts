import type { Finding } from '../findings.js';
import type { Drive } from '../line/drive.js';
import type { Start } from './breakaway.js';
import type { DelayEstimate } from './delay.js';
import { type Fit, termEstimate, termIndex } from './fit.js';
import type { DriveFit } from './fitDrive.js';
import { type Estimate, type Estimates, type NotEstimated, parameterNames } from './identification.js';
import type { Scales, Stretch } from './stretch.js';
import type { Support } from './support.js';

/** Findings and reasons of the identification, in one place, so that their wording can be read side by side. */

const percent = (share: number): string => `${Number((100 * share).toPrecision(2))} %`;

export function channelDelay(delay: number, seen: DelayEstimate | undefined, interval: number): Finding {
  const late = delay > 0 ? 'torque' : 'speed';
  const how =
    seen === undefined ? 'as stated' : `estimated to ± ${(2000 * seen.standardError).toPrecision(2)} ms`;
  return {
    code: 'channel_delay',
    // Less than a sample is how two channels are sampled, not a fault.
    severity: seen === undefined || Math.abs(delay) < interval ? 'info' : 'warn',
    message: `the ${late} column is ${(1000 * Math.abs(delay)).toPrecision(3)} ms late against the other, ${how}; corrected`,
    where: { late, delay_s: Math.abs(delay) },
    next: 'record both channels from the same source and at the same rate, or state the delay with --compensate-delay SECONDS',
  };
}

export function noDesignedTest(onlyBreakaway: boolean): Finding {
  return {
    code: 'no_designed_test',
    severity: onlyBreakaway ? 'warn' : 'refuse',
    message: 'the recording holds no steady speed, no usable ramp and no coast-down to identify from',
    where: {},
    next: 'record a staircase of steady speeds, two ramps at different rates and a coast-down, roller free of the web',
  };
}

export function nothingFitted(estimates: Estimates): NotEstimated[] {
  return parameterNames
    .filter((name) => estimates[name] === undefined)
    .map((name) => ({
      name,
      why: 'the recording does not support it: see the findings',
      next: 'repeat the recording as the finding says',
    }));
}

/** A torque that drives against the motion it makes: the column has the other sign. */
export function signConvention(fit: Fit, direction: 1 | -1, scales: Scales): Finding | undefined {
  const inertia = termEstimate(fit, 'inertia', direction);
  const mean = fit.rows
    .filter((r) => !r.coasting && Math.abs(r.speed) > 0.3 * scales.range)
    .reduce((s, r) => ({ w: s.w + r.duration, t: s.t + r.duration * r.direction * dragPart(fit, r) }), {
      w: 0,
      t: 0,
    });
  const dragNegative = mean.w > 0 && mean.t < 0;
  const inertiaNegative = inertia !== undefined && inertia.value + 3 * inertia.standardError < 0;
  const inertiaPositive = inertia !== undefined && inertia.value - 3 * inertia.standardError > 0;
  if (!(inertiaNegative || (dragNegative && !inertiaPositive))) return undefined;
  return {
    code: 'sign_convention',
    severity: 'refuse',
    message: inertiaNegative
      ? `torque falls when the speed rises: with this sign the inertia would be ${inertia.value.toPrecision(3)} kg·m²`
      : 'steady running needs negative torque: with this sign the drag would drive the roller',
    where: { channel: 'motor-torque' },
    next: 'repeat with --flip-torque if positive torque in this column brakes; otherwise check which column is the torque',
  };
}

/** Torque of a window less its inertia part [N·m]. */
function dragPart(fit: Fit, row: Fit['rows'][number]): number {
  const j = termIndex(fit, 'inertia', row.direction);
  return row.torque - (j >= 0 ? fit.coefficients[j] * row.acceleration : 0);
}

export function noAcceleration(): Finding {
  return {
    code: 'no_acceleration',
    severity: 'warn',
    message: 'the speed hardly changes while the drive is on, so the inertia cannot show',
    where: {},
    next: 'record two ramps up and down at different rates, fast enough that inertia torque exceeds the drag',
  };
}

export function inertiaNotIdentifiable(inertia: Estimate | undefined): Finding {
  return {
    code: 'inertia_not_identifiable',
    severity: 'warn',
    message:
      inertia === undefined
        ? 'the ramps do not separate inertia from drag'
        : `the ramps give an inertia of ${inertia.value.toPrecision(3)} ± ${(2 * inertia.standardError).toPrecision(2)} kg·m²: not good enough to use`,
    where: {},
    next: 'record steeper ramps, up and down through the same speeds',
  };
}

export const missingInertia = (why: string): NotEstimated => ({
  name: 'inertia',
  why,
  next: 'record two ramps up and down at different rates',
});

export const missingCoulomb = (): NotEstimated => ({
  name: 'coulomb',
  why: 'one speed gives one drag, not how it divides into a constant and a rising part',
  next: 'record plateaus at four or more speeds from 5 % to top speed',
});

export const missingOffset = (bothWays: boolean): NotEstimated => ({
  name: 'offset',
  why: bothWays
    ? 'each direction has a drag of its own, and a torque offset cannot be told from their difference'
    : 'in one direction of rotation a torque offset cannot be told from Coulomb drag',
  next: bothWays
    ? 'record a coast-down with the drive off'
    : 'record both directions, or a coast-down with the drive off',
});

export function missingBreakaway(starts: readonly Start[]): NotEstimated {
  const rejected = starts.find((s) => s.rejected !== undefined)?.rejected;
  return {
    name: 'breakaway',
    why:
      rejected === undefined
        ? 'no torque ramp from standstill in the recording'
        : `no slow torque ramp from standstill in the recording (${rejected})`,
    next: 'from rest raise the torque slowly, over 5 s or more, until the roller just turns; repeat at six or more angles',
  };
}

export function noBreakawayTest(starts: readonly Start[]): Finding {
  const { why, next } = missingBreakaway(starts);
  return {
    code: 'no_breakaway_test',
    severity: 'info',
    message: `${why}: breakaway is not estimated`,
    where: {},
    next,
  };
}

export function oneSpeedOnly(support: Support): Finding {
  return {
    code: 'one_speed_only',
    severity: 'warn',
    message: `the drag was seen at about ${support.highest.toPrecision(3)} rad/s only: its rise with speed is unknown`,
    where: { speed_rad_per_s: support.highest },
    next: 'record plateaus at four or more speeds from 5 % to top speed',
  };
}

/** Below this share of the top speed a recording says nothing of the running speeds. */
const lowShare = 0.3;

export function lowSpeedOnly(support: Support, drive: Drive): Finding | undefined {
  if (drive.maxMotorSpeed === undefined || support.highest >= lowShare * drive.maxMotorSpeed)
    return undefined;
  return {
    code: 'low_speed_only',
    severity: 'warn',
    message: `the recording reaches ${percent(support.highest / drive.maxMotorSpeed)} of top speed: drag above is not known and is not extrapolated`,
    where: { highest_rad_per_s: support.highest, top_rad_per_s: drive.maxMotorSpeed },
    next: 'record plateaus up to top speed',
  };
}

export function directions(result: DriveFit, scales: Scales): Finding[] {
  if (result.directions.length < 2) return [];
  const { fit } = result;
  const offset = termEstimate(fit, 'offset', 1)?.value ?? 0;
  const constant = `the torque differs between the directions by a constant of ${Math.abs(2 * offset).toPrecision(2)} N·m, stated as an offset of the torque column; friction that differs by a constant would look the same`;
  const findings: Finding[] = [
    {
      code: 'two_directions',
      severity: 'info',
      message: result.perDirection
        ? 'the recording runs both ways; each direction has a drag of its own'
        : `the recording runs both ways and one drag fits both; ${constant}`,
      where: { offset_Nm: offset },
      next: 'compare the torque reading while the drive is off with zero: what it shows then is offset, the rest is friction',
    },
  ];
  if (!result.perDirection) return findings;
  const drag = (direction: 1 | -1): number => {
    const c = termIndex(fit, 'coulomb', direction);
    const b = termIndex(fit, 'viscous', direction);
    const k = termIndex(fit, 'quadratic', direction);
    const w = scales.range;
    return (
      (c < 0 ? 0 : fit.coefficients[c]) +
      (b < 0 ? 0 : fit.coefficients[b] * w) +
      (k < 0 ? 0 : fit.coefficients[k] * w * w)
    );
  };
  const forward = drag(1);
  const reverse = drag(-1);
  findings.push({
    code: 'direction_asymmetry',
    severity: 'warn',
    message: `drag depends on the direction: ${forward.toPrecision(3)} N·m forward and ${reverse.toPrecision(3)} N·m reverse at ${scales.range.toPrecision(3)} rad/s`,
    where: { forward_Nm: forward, reverse_Nm: reverse, speed_rad_per_s: scales.range },
    next: 'use the values of the direction in which the line runs; look at seals, belts and gears if the difference is new',
  });
  return findings;
}

export function coast(stretches: readonly Stretch[]): Finding[] {
  const coasts = stretches.filter((s) => s.kind === 'coast');
  if (coasts.length === 0) return [];
  return [
    {
      code: 'drive_off_coast',
      severity: 'info',
      message: `${coasts.length} coast-down${coasts.length > 1 ? 's' : ''} with the drive off found and used: drag there is free of torque errors`,
      where: { count: coasts.length },
      next: 'nothing to do',
    },
  ];
}

export function drift(result: DriveFit): Finding[] {
  if (result.drift === undefined) return [];
  return [
    {
      code: 'drag_drift',
      severity: 'warn',
      message: `drag at the same speed ${result.drift < 0 ? 'falls' : 'rises'} by ${percent(Math.abs(result.drift))} of its mean over the recording, as when bearings warm up; the values are for its end`,
      where: { share: result.drift },
      next: 'run the drive until the drag at one speed changes by less than 1 % in 10 min, then repeat the recording',
    },
  ];
}

export function ripple(ripples: readonly { readonly shaft: string; readonly amplitude: number }[]): Finding {
  const list = ripples
    .map((r) => `${r.amplitude.toPrecision(2)} N·m once per turn of the ${r.shaft}`)
    .join(' and ');
  return {
    code: 'torque_ripple',
    severity: 'info',
    message: `the torque holds a ripple of ${list}; it was taken out, not counted as drag`,
    where: { count: ripples.length },
    next: 'look at balance, eccentricity and coupling if the ripple is new or larger than the drag',
  };
}

export function inertiaVaries(share: number): Finding {
  return {
    code: 'inertia_varies',
    severity: 'warn',
    message: `the inertia seems to ${share > 0 ? 'rise' : 'fall'} by ${percent(Math.abs(share))} from standstill to the highest speed; inertia does not, so the torque column is off`,
    where: { share },
    next: 'check the torque scale above base speed (field weakening) and the filters of both channels',
  };
}

export function closedLoopBias(change: number): Finding {
  return {
    code: 'closed_loop_bias',
    severity: 'warn',
    message: `the speed loop reacts to noise in its own speed: least squares is off by ${percent(Math.abs(change))} in the inertia; instruments from the speed reference were used instead`,
    where: { inertiaChange: change },
    next: 'nothing to do; a slower speed loop or steeper ramps would make the two agree',
  };
}

/** Plateaus further than this from the fit say that the drag law does not hold. */
const materialMisfit = 0.04;

export function misfit(fit: Fit, stretches: readonly Stretch[]): Finding | undefined {
  const sums = new Map<number, { w: number; r: number; t: number; speed: number }>();
  fit.rows.forEach((row, i) => {
    if (stretches[row.stretch].kind !== 'plateau') return;
    const s = sums.get(row.stretch) ?? { w: 0, r: 0, t: 0, speed: 0 };
    s.w += row.duration;
    s.r += row.duration * fit.residuals[i];
    s.t += row.duration * Math.abs(row.torque);
    s.speed = Math.abs(row.speed);
    sums.set(row.stretch, s);
  });
  const shares = [...sums.values()].map((s) => ({ share: Math.abs(s.r) / s.t, speed: s.speed }));
  const worst = shares.sort((a, b) => b.share - a.share)[0];
  const poor = shares.filter((s) => s.share > materialMisfit).length;
  if (worst === undefined || poor < Math.max(2, 0.25 * shares.length)) return undefined;
  return {
    code: 'model_misfit',
    severity: 'warn',
    message: `${poor} of ${shares.length} plateaus lie more than ${percent(materialMisfit)} off the fitted drag, the worst by ${percent(worst.share)}`,
    where: { plateaus: poor, worstSpeed_rad_per_s: worst.speed },
    next: 'look at the residuals over time and speed: warming, a rubbing seal, or a load that depends on position',
  };
}

/** An estimate moved by a constant. */
export function shifted(e: Estimate, by: number): Estimate {
  return { ...e, value: e.value + by, interval95: [e.interval95[0] + by, e.interval95[1] + by] };
}
