import type { Finding } from '../findings.js';
import type { Drive } from '../line/drive.js';
import { dragAt } from './dragCurve.js';
import type { Term } from './equation.js';
import { type Fit, fitRows, termEstimate, termIndex } from './fit.js';
import type { DragPoint, Estimate, Estimates, NotEstimated } from './identification.js';
import type { DriveSignals } from './signals.js';
import type { Scales } from './stretch.js';
import { rollRadius, tensionTorque, windowMean } from './webSignals.js';
import { type WindowRow, type WindowSource, windowRows } from './windows.js';

/** What a production recording says: less than a designed test, and of other things. */
export interface WebOnResult {
  readonly estimates: Estimates;
  readonly notEstimated: readonly NotEstimated[];
  readonly apparentDragCurve?: readonly DragPoint[];
  readonly inertiaOverDiameter?: readonly { readonly diameter: number; readonly inertia: number }[];
  readonly rollDensity?: Estimate;
  readonly speedRange?: readonly [number, number];
  readonly fit?: Fit;
  readonly torque?: Float64Array;
}

/** Length of a window [s]: long against speed-loop motion, short against a line-speed ramp. */
const windowLength = 2;
const fewestWindows = 12;

/**
 * Inertia and apparent drag from a recording with the web on. On an unwind or winder the tension torque is taken out and
 * the inertia is split into a fixed part and a roll of even density that grows with R⁴. Elsewhere the web's own pull
 * cannot be separated: the drag is what the drive feels. Theory: docs/models/production.md.
 */
export function identifyWebOn(
  signals: DriveSignals,
  drive: Drive,
  scales: Scales,
  findings: Finding[],
): WebOnResult {
  const winding = drive.element === 'unwind' || drive.element === 'winder';
  const radius = winding ? rollRadius(signals, drive) : undefined;
  const taken = winding ? tensionTorque(signals, drive, radius) : undefined;
  findings.push(webOnFinding(drive, winding, taken !== undefined), productionOnly());
  const torque = taken ?? signals.torque;
  if (torque === undefined) return { estimates: {}, notEstimated: [missing('inertia', 'no torque column')] };
  const rows = productionRows(signals, torque, scales, radius, drive);
  if (rows.length < fewestWindows)
    return {
      estimates: {},
      notEstimated: [missing('inertia', 'too little running with the web on')],
      torque,
    };
  const radii = rows.flatMap((r) => (r.inertiaPerDensity === undefined ? [] : [r.inertiaPerDensity]));
  const rollVaries = radii.length === rows.length && Math.max(...radii) > 1.15 * Math.min(...radii);
  const fit = fitProduction(rows, rollVaries, scales, signals);
  if (fit === undefined || fit.condition > 1e4) {
    findings.push(notSeparable());
    return {
      estimates: {},
      notEstimated: [missing('inertia', 'the recording does not separate inertia from drag')],
      torque,
    };
  }
  const speeds = rows.map((r) => Math.abs(r.speed));
  const speedRange: [number, number] = [Math.min(...speeds), Math.max(...speeds)];
  const notEstimated = (['coulomb', 'viscous', 'quadratic', 'stribeck', 'breakaway'] as const).map((name) =>
    missing(name, 'with the web on only the apparent drag is seen'),
  );
  const common = { notEstimated, speedRange, fit, torque };
  if (rollVaries && radius !== undefined)
    return { ...common, ...rollResult(fit, radius, drive, findings, notEstimated) };
  const estimates: { inertia?: Estimate } = {};
  const inertia = termEstimate(fit, 'inertia', rows[0].direction);
  if (inertia !== undefined && inertia.value > 0 && inertia.standardError < 0.2 * inertia.value)
    estimates.inertia = inertia;
  else {
    findings.push(notSeparable());
    notEstimated.push(missing('inertia', 'the line speed does not change enough to show the inertia'));
  }
  return { ...common, estimates, apparentDragCurve: apparentCurve(fit, speedRange, rows[0].direction) };
}

const missing = (name: NotEstimated['name'], why: string): NotEstimated => ({
  name,
  why,
  next: 'record the drive without web: plateaus at several speeds, ramps, a coast-down and slow torque ramps from rest',
});

function notSeparable(): Finding {
  return {
    code: 'inertia_not_identifiable',
    severity: 'warn',
    message: 'the line speed does not change enough to show the inertia',
    where: {},
    next: 'record a start and a stop of the line, or the drive alone without web',
  };
}

function webOnFinding(drive: Drive, winding: boolean, tensionTaken: boolean): Finding {
  const what = winding
    ? tensionTaken
      ? 'the tension torque was taken out by the tension column, so an error of the load cell is in every value'
      : 'the tension torque is in every value: no tension column was recorded'
    : 'the torque holds what the web pulls or is pulled, so the drag is what this drive feels, not what the roller asks for';
  return {
    code: 'web_on',
    severity: 'warn',
    message: `recorded with the web on ${drive.element}: ${what}`,
    where: { element: drive.element },
    next: 'use it to watch changes; for feed-forward record the drive without web',
  };
}

function productionOnly(): Finding {
  return {
    code: 'no_designed_test',
    severity: 'warn',
    message: 'this is running production and no designed test: it shows what the line happened to do',
    where: {},
    next: 'record the drive without web: plateaus at several speeds, ramps, a coast-down and slow torque ramps from rest',
  };
}

/** Windows over all running, whatever the speed does. */
function productionRows(
  signals: DriveSignals,
  torque: Float64Array,
  scales: Scales,
  radius: Float64Array | undefined,
  drive: Drive,
): WindowRow[] {
  const length = Math.max(6, Math.round(windowLength / signals.interval));
  const sources: WindowSource[] = [];
  const { speed, time } = signals;
  let start = -1;
  for (let i = 0; i <= speed.length; i++) {
    const running = i < speed.length && Math.abs(speed[i]) > scales.restSpeed;
    if (running && start < 0) start = i;
    if ((!running || i === speed.length) && start >= 0) {
      const count = Math.floor((i - start) / length);
      if (count > 0) sources.push({ start, end: i, stretch: 0, coasting: false, count });
      start = -1;
    }
  }
  const width = drive.web?.width ?? drive.rollerWidth;
  const rows = windowRows(signals, torque, sources, Math.max(0.03 * scales.range, scales.restSpeed));
  // Neighbouring windows share ripple and tension waves: half a minute is taken as one cluster.
  const cluster = Math.max(10 * windowLength, (time[time.length - 1] - time[0]) / 60);
  const located = radius === undefined ? rows : rows.filter((r) => windowMean(radius, r.start, r.end) > 0);
  return located.map((row) => ({
    ...row,
    stretch: Math.floor(row.time / cluster),
    ...(radius !== undefined &&
      width !== undefined && {
        inertiaPerDensity: perDensity(windowMean(radius, row.start, row.end), width, drive),
      }),
  }));
}

/** Inertia at the motor per density of a roll of radius R [m⁵]: (π/2)·w·(R⁴ - Rc⁴)/i². Source: hollow cylinder. */
function perDensity(radius: number, width: number, drive: Drive): number {
  const core = drive.coreRadius ?? 0;
  return (0.5 * Math.PI * width * (radius ** 4 - core ** 4)) / drive.gearRatio ** 2;
}

/** A quadratic term is kept when it stands out by this many standard errors. */
const quadraticScore = 4;

/** Inertia (and roll density) with as much of a drag as the speeds seen support. */
function fitProduction(
  rows: readonly WindowRow[],
  rollVaries: boolean,
  scales: Scales,
  signals: DriveSignals,
): Fit | undefined {
  const speeds = rows.map((r) => Math.abs(r.speed));
  const spread = (Math.max(...speeds) - Math.min(...speeds)) / scales.range;
  const terms: Term[] = [{ name: 'inertia', direction: 0 }];
  if (rollVaries) terms.push({ name: 'rollDensity', direction: 0 });
  terms.push({ name: 'coulomb', direction: 0 });
  if (spread > 0.3) terms.push({ name: 'viscous', direction: 0 });
  const fit = fitRows(rows, { terms }, signals);
  if (spread <= 0.5) return fit;
  const bent = fitRows(rows, { terms: [...terms, { name: 'quadratic', direction: 0 }] }, signals);
  const quadratic = bent && termEstimate(bent, 'quadratic', rows[0].direction);
  return quadratic !== undefined && Math.abs(quadratic.value) > quadraticScore * quadratic.standardError
    ? bent
    : fit;
}

function apparentCurve(fit: Fit, range: readonly [number, number], direction: 1 | -1): DragPoint[] {
  const points = termIndex(fit, 'viscous', direction) < 0 ? 1 : 12;
  return Array.from({ length: points }, (_, k) => {
    const omega =
      points === 1 ? 0.5 * (range[0] + range[1]) : range[0] + (k / (points - 1)) * (range[1] - range[0]);
    return dragAt(fit, fit.covariance, omega, direction);
  });
}

/** Inertia over diameter and density of the roll. */
function rollResult(
  fit: Fit,
  radius: Float64Array,
  drive: Drive,
  findings: Finding[],
  notEstimated: NotEstimated[],
): Pick<WebOnResult, 'estimates' | 'apparentDragCurve' | 'inertiaOverDiameter' | 'rollDensity'> {
  const direction = fit.rows[0].direction;
  const fixed = termEstimate(fit, 'inertia', direction);
  const density = termEstimate(fit, 'rollDensity', direction);
  const range: [number, number] = [
    Math.min(...fit.rows.map((r) => Math.abs(r.speed))),
    Math.max(...fit.rows.map((r) => Math.abs(r.speed))),
  ];
  const apparentDragCurve = apparentCurve(fit, range, direction);
  if (
    fixed === undefined ||
    density === undefined ||
    !(density.value > 0 && density.standardError < 0.3 * density.value)
  ) {
    findings.push(notSeparable());
    return { estimates: {}, apparentDragCurve };
  }
  findings.push({
    code: 'inertia_varies',
    severity: 'info',
    message: 'the roll builds during the recording: inertia is stated over diameter, not as one number',
    where: {},
    next: 'nothing to do',
  });
  notEstimated.push(missing('inertia', 'it changes with the diameter: see inertiaOverDiameter'));
  const width = drive.web?.width ?? (drive.rollerWidth as number);
  const radii = fit.rows.map((r) => windowMean(radius, r.start, r.end));
  const smallest = Math.min(...radii);
  const largest = Math.max(...radii);
  const inertiaOverDiameter = Array.from({ length: 15 }, (_, k) => {
    const r = smallest + (k / 14) * (largest - smallest);
    return { diameter: 2 * r, inertia: fixed.value + density.value * perDensity(r, width, drive) };
  });
  return { estimates: {}, apparentDragCurve, inertiaOverDiameter, rollDensity: density };
}
