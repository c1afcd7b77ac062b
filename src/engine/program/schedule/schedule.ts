import type { Finding } from '../../findings.js';
import type { Length } from '../../units/quantity.js';
import { type Build, type LawCurve, lawCurve, refuse, withHardStart } from './laws.js';
import type { Schedule, ScheduleLaw, ScheduleOptions, SteepestPoint } from './types.js';

/**
 * A schedule over the diameter of a roll, from core to full [m]; values in the unit of the law [N/m]. Once differentiable everywhere between
 * them: no step at the core, at table points or where a hard start ends. A table that does not reach core or full roll is held at its end value,
 * with a finding; points outside the roll only shape the curve between.
 * @throws TautlineError argument_invalid: full roll not above core, values not finite, a law that goes below 0 (unless it may), taper and
 * end both or neither stated, table points not ascending, a table beside the roll, a hard start that does not fit
 * Source: laws in use in the trade (linear, hyperbolic); blend after Lee, Kang, Kim and Shin, J. Mech. Sci. Technol. 23, 2009 (idea from
 * the abstract). Theory: docs/models/schedules.md.
 */
export function createSchedule(law: ScheduleLaw, build: Build, options: ScheduleOptions = {}): Schedule {
  const { name = 'schedule', hardStart, mayBeNegative = false, slopeLimit } = options;
  const { core, full } = build;
  if (!(core > 0 && full > core && Number.isFinite(full)))
    refuse(
      name,
      { core, full },
      `no build-up from a core of ${core} m to a full roll of ${full} m`,
      'state a core diameter above 0 and a larger full diameter',
    );
  if (slopeLimit !== undefined && !(slopeLimit > 0))
    refuse(name, { slopeLimit }, `a slope limit of ${slopeLimit} 1/m`, 'state a limit above 0');
  const plain = lawCurve(law, build, name, mayBeNegative);
  const curve = hardStart === undefined ? plain : withHardStart(plain, hardStart, build, name);
  const steepest = steepestPoint(curve, build);
  const findings: Finding[] = [];
  if (law.law === 'table')
    findings.push(
      ...heldFindings(name, law.points[0].diameter, law.points[law.points.length - 1].diameter, build),
    );
  if (slopeLimit !== undefined && Math.abs(steepest.relativeSlope) > slopeLimit)
    findings.push(slopeFinding(name, steepest, slopeLimit));
  const start = curve.value(core);
  const end = curve.value(full);
  return {
    at: (d) => (d > core && d < full ? curve.value(d) : d <= core ? start : d >= full ? end : Number.NaN),
    slopeAt: (d) => (d >= core && d <= full ? curve.derivative(d) : Number.isNaN(d) ? d : 0),
    start,
    end,
    ...(plain.taper !== undefined ? { taper: plain.taper } : {}),
    steepest,
    findings,
  };
}

/** Samples of each smooth piece, in which no law or cubic has more than a few extremes of its slope. */
const samplesPerPiece = 64;

/** Where the slope is largest: best sample, then golden section between its neighbours. */
function steepestPoint(curve: LawCurve, { core, full }: Build): SteepestPoint {
  const ends = [core, ...curve.breaks, full];
  const diameters = [core];
  for (let piece = 1; piece < ends.length; piece++)
    for (let k = 1; k <= samplesPerPiece; k++)
      diameters.push(
        k === samplesPerPiece
          ? ends[piece]
          : ends[piece - 1] + ((ends[piece] - ends[piece - 1]) * k) / samplesPerPiece,
      );
  const steepness = (d: Length): number => Math.abs(curve.derivative(d));
  let best = 0;
  let largest = 0;
  diameters.forEach((d, i) => {
    if (steepness(d) > steepness(diameters[best])) best = i;
    largest = Math.max(largest, Math.abs(curve.value(d)));
  });
  let diameter = diameters[best];
  let [low, high] = [diameters[Math.max(0, best - 1)], diameters[Math.min(diameters.length - 1, best + 1)]];
  const golden = (Math.sqrt(5) - 1) / 2;
  for (let step = 0; step < 40; step++) {
    const [left, right] = [high - golden * (high - low), low + golden * (high - low)];
    if (steepness(left) > steepness(right)) high = right;
    else low = left;
  }
  if (steepness((low + high) / 2) > steepness(diameter)) diameter = (low + high) / 2;
  return { diameter, relativeSlope: largest === 0 ? 0 : curve.derivative(diameter) / largest };
}

function heldFindings(name: string, first: Length, last: Length, { core, full }: Build): Finding[] {
  const held = (from: Length, to: Length, what: string): Finding => ({
    code: 'table_held',
    severity: 'warn',
    message: `${name}: the table ${what}; from ${from} m to ${to} m its value there is held`,
    where: { schedule: name, from_m: from, to_m: to },
    next: 'state points at the core and at the full diameter',
  });
  return [
    ...(first > core ? [held(core, first, `starts at ${first} m, after the core`)] : []),
    ...(last < full ? [held(last, full, `ends at ${last} m, before the full roll`)] : []),
  ];
}

function slopeFinding(name: string, { diameter, relativeSlope }: SteepestPoint, limit: number): Finding {
  const percent = (perMetre: number): string => `${Math.abs(perMetre).toPrecision(3)} %`;
  return {
    code: 'schedule_slope',
    severity: 'warn',
    message: `${name}: at ${diameter.toPrecision(4)} m it changes by ${percent(relativeSlope)} of its largest value per 10 mm of diameter; the limit is ${percent(limit)}`,
    where: { schedule: name, diameter_m: diameter, slope_per_m: relativeSlope, limit_per_m: limit },
    next: 'taper less, spread the table points or the hard start over more diameter, or raise the limit',
  };
}
