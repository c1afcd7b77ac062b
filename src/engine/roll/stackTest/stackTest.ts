import type { Finding, FindingCode, Severity } from '../../findings.js';
import { studentTQuantile } from '../../numerics/distributions.js';
import type { Length, Pressure, Ratio } from '../../units/quantity.js';
import type { StackLaw } from '../../web/web.js';
import { fitStackLaw, type LoadingData, type StackLawFit } from './fitStackLaw.js';
import { findLoadings } from './loadings.js';
import { logarithmicParameters, stackParameters } from './stackParameters.js';

/** A compression test of a stack of sheets, in the order of time. */
export interface StackTest {
  readonly pressure: Float64Array;
  /** Height of the stack [m], or 1 less its strain [1]. */
  readonly height: Float64Array;
  readonly isLength: boolean;
  readonly sheets?: number;
}

export interface FittedParameter {
  readonly name: string;
  readonly value: number;
  readonly interval95: readonly [number, number];
}

export interface FittedStackLaw {
  readonly law: StackLaw;
  readonly parameters: readonly FittedParameter[];
  /** Between the logarithms of the parameters, between values where one may have any sign; rows in the order of `parameters`. */
  readonly correlation: readonly (readonly number[])[];
  /** Root mean square and largest residual of the height, as shares of the height at rest. */
  readonly residualRms: Ratio;
  readonly residualLargest: Ratio;
  /** Akaike's criterion, corrected for few samples; only differences count. */
  readonly evidence: number;
}

export interface StackTestResult {
  readonly loadings: number;
  /** The last loading, which the laws are fitted to. */
  readonly used?: {
    readonly lowest: Pressure;
    readonly highest: Pressure;
    /** Strain between the two. */
    readonly strain: Ratio;
    readonly samples: number;
    /** Samples that say something of their own, since neighbours resemble each other. */
    readonly independent: number;
  };
  /** Laws that could be fitted, the best supported first. */
  readonly fits: readonly FittedStackLaw[];
  /** The one to use; undefined when none could be. */
  readonly chosen?: FittedStackLaw;
  /** Thickness of one sheet without pressure. */
  readonly caliperAtRest?: { readonly value: Length; readonly interval95: readonly [Length, Length] };
  /** Largest change of height at equal pressure from the loading before, as a share of the change of height over the loading. */
  readonly cycleChange?: Ratio;
  readonly findings: readonly Finding[];
}

/** Below so many sheets the platens count: the reference asks for a stack of 50 or more. */
const fewSheets = 50;
const fewestSamples = 12;
/** Samples of a loading that are fitted; more are thinned evenly. */
const mostSamples = 600;
const shortRange = 10;
const settled = 0.05;
/** Laws within this difference of Akaike's criterion are equally supported (Burnham and Anderson, from memory). */
const equalEvidence = 2;
const wideInterval = 2;

/**
 * Stack law from a compression test: the last loading is taken, every law is fitted to it, and the best supported one is chosen, of several equally supported ones that with
 * the fewest parameters. Intervals are 95 %, widened for residuals that resemble their neighbours (autocorrelation at lag 1, an effective number of samples); they do not
 * hold errors of the pressure or of the gauge. Pressures [Pa], heights [m] or [1]. Rows without both are left out.
 * Source: docs/models/stack-test.md.
 */
export function fitStackTest(test: StackTest): StackTestResult {
  const findings: Finding[] = [];
  const add: Add = (code, severity, message, next, where = {}) => {
    findings.push({ code, severity, message, where, next });
  };
  const { pressure, height } = wholeRows(test, add);
  const loadings = findLoadings(pressure);
  const last = loadings.at(-1);
  const unusable = (message: string, next: string): StackTestResult => {
    add('stack_test_unusable', 'refuse', message, next);
    return { loadings: loadings.length, fits: [], findings };
  };
  if (last === undefined)
    return unusable('the pressure never rises over its range', 'load the stack in cycles');
  const data = thinned(pressure, height, last);
  const n = data.pressure.length;
  const lowest = data.pressure[0] as number;
  const highest = data.pressure.reduce((a, b) => Math.max(a, b), 0);
  if (n < fewestSamples)
    return unusable(`the last loading has ${n} samples`, `record at least ${fewestSamples} on each way up`);
  if (!(lowest >= 0))
    return unusable(
      `the pressure of the last loading begins at ${lowest} Pa`,
      'correct the zero of the load cell',
    );
  const fall = (data.height[0] as number) - (data.height[n - 1] as number);
  if (!(fall > 0))
    return unusable(
      'the stack gets no lower while the pressure rises',
      'check which column is the height or strain, and its sign: compression is positive strain',
    );
  judgeTest(test, { lowest, highest }, add);
  const cycleChange = changeFromBefore(pressure, height, loadings, add);
  const fitted = (['constant', 'exponential', 'saturating', 'polynomial'] as const).flatMap(
    (name) => fitStackLaw(name, data) ?? [],
  );
  const used = {
    lowest,
    highest,
    strain: fall / (data.height[0] as number),
    samples: n,
    independent: independentOf(fitted, n),
  };
  const fits = fitted
    .map((fit) => ({ fit, law: toFitted(fit, used.independent) }))
    .sort((a, b) => a.law.evidence - b.law.evidence);
  const best = fits[0];
  if (best === undefined)
    return {
      ...unusable('no stack law could be fitted to the last loading', 'test over a wider range of pressures'),
      used,
    };
  const equal = fits.filter((f) => f.law.evidence - best.law.evidence <= equalEvidence);
  const chosen = equal.reduce((a, b) => (b.fit.count < a.fit.count ? b : a));
  if (equal.length > 1)
    add(
      'stack_law_unclear',
      'info',
      `the data support ${equal.map((f) => f.law.law.law).join(' and ')} equally well; the one with fewer parameters, ${chosen.law.law.law}, is chosen`,
      'use it within the pressures of the test; a wider range would tell them apart',
    );
  const loose = chosen.law.parameters.filter(({ interval95: [lo, hi] }) => !(hi / lo < wideInterval ** 2));
  if (loose.length > 0)
    add(
      'stack_range_short',
      'warn',
      `${loose.map((p) => p.name).join(' and ')} ${loose.length > 1 ? 'are' : 'is'} known within a factor of ${wideInterval} only, or less well`,
      'begin the loading at a lower pressure, end it at a higher one, and record more samples on the way',
    );
  const { sheets } = test;
  const rest = chosen.fit.heightAtRest;
  const half =
    quantileFor(used.independent, chosen.fit.count) *
    widening(n, used.independent, chosen.fit.count) *
    chosen.fit.heightAtRestError;
  return {
    loadings: loadings.length,
    used,
    fits: fits.map((f) => f.law),
    chosen: chosen.law,
    ...(test.isLength &&
      sheets !== undefined && {
        caliperAtRest: {
          value: rest / sheets,
          interval95: [(rest - half) / sheets, (rest + half) / sheets] as const,
        },
      }),
    ...(cycleChange !== undefined && { cycleChange }),
    findings,
  };
}

type Add = (
  code: FindingCode,
  severity: Severity,
  message: string,
  next: string,
  where?: Finding['where'],
) => void;

function wholeRows({ pressure, height }: StackTest, add: Add): LoadingData {
  const keep = Array.from(pressure.keys()).filter(
    (i) => Number.isFinite(pressure[i]) && Number.isFinite(height[i]),
  );
  const left = pressure.length - keep.length;
  if (left > 0)
    add(
      'rows_skipped',
      left > 0.2 * pressure.length ? 'warn' : 'info',
      `${left} of ${pressure.length} rows have no pressure or no height and are left out`,
      'look at these rows',
      { rows: left },
    );
  const pick = (of: Float64Array): Float64Array => Float64Array.from(keep, (i) => of[i] as number);
  return { pressure: pick(pressure), height: pick(height) };
}

function thinned(
  pressure: Float64Array,
  height: Float64Array,
  { from, to }: { from: number; to: number },
): LoadingData {
  const n = Math.min(mostSamples, to - from + 1);
  const at = (k: number): number => from + Math.round((k * (to - from)) / Math.max(1, n - 1));
  return {
    pressure: Float64Array.from({ length: n }, (_, k) => pressure[at(k)] as number),
    height: Float64Array.from({ length: n }, (_, k) => height[at(k)] as number),
  };
}

function judgeTest(
  { sheets }: StackTest,
  { lowest, highest }: { lowest: Pressure; highest: Pressure },
  add: Add,
): void {
  if (sheets !== undefined && sheets < fewSheets)
    add(
      'stack_too_low',
      'warn',
      `the stack has ${sheets} sheets: its ends, which touch the platens, count too much`,
      `test at least ${fewSheets} sheets`,
    );
  if (sheets === undefined)
    add(
      'stack_too_low',
      'info',
      'the number of sheets is not stated',
      `state it; at least ${fewSheets} are needed`,
    );
  if (!(highest > shortRange * lowest))
    add(
      'stack_range_short',
      'warn',
      `the pressure goes up by a factor of ${(highest / lowest).toPrecision(2)} only`,
      'begin at a lower pressure: K1 is seen where the pressure is near it',
    );
}

/** How far the last loading lies from the one before at the same pressures. */
function changeFromBefore(
  pressure: Float64Array,
  height: Float64Array,
  loadings: readonly { from: number; to: number }[],
  add: Add,
): Ratio | undefined {
  const [before, last] = [loadings.at(-2), loadings.at(-1)];
  if (before === undefined || last === undefined) {
    add(
      'stack_cycles_unsettled',
      'warn',
      'the test has one loading: whether the stack has settled is not known',
      'load the same stack several times and evaluate the last',
    );
    return undefined;
  }
  const heightAt = ({ from, to }: { from: number; to: number }, p: Pressure): number => {
    for (let i = from; i < to; i++) {
      const [a, b] = [pressure[i] as number, pressure[i + 1] as number];
      if (p >= a && p <= b && b > a)
        return (
          (height[i] as number) + (((height[i + 1] as number) - (height[i] as number)) * (p - a)) / (b - a)
        );
    }
    return Number.NaN;
  };
  const low = Math.max(pressure[before.from] as number, pressure[last.from] as number);
  const high = Math.min(pressure[before.to] as number, pressure[last.to] as number);
  const range = (height[last.from] as number) - (height[last.to] as number);
  let change = 0;
  for (let k = 1; k < 10; k++) {
    const p = low + ((high - low) * k) / 10;
    const difference = Math.abs(heightAt(last, p) - heightAt(before, p)) / range;
    if (difference > change) change = difference;
  }
  if (change > settled)
    add(
      'stack_cycles_unsettled',
      'warn',
      `from the loading before to the last one the stack still changed by ${(100 * change).toPrecision(2)} % of its compression`,
      'load it more often, until the loadings repeat',
    );
  return change;
}

/**
 * Samples that count as independent, n·(1 − ρ)/(1 + ρ) with ρ the autocorrelation of the best law's residuals at lag 1, if positive. Fitting k values lowers ρ by about
 * (k + (k + 2)·ρ)/n, which is put back (Marriott and Pope, Kendall, 1954, for k = 1 and 2, from memory; carried on to more here).
 */
function independentOf(fits: readonly StackLawFit[], n: number): number {
  const best = fits.reduce<StackLawFit | undefined>((a, b) => (a && a.rss <= b.rss ? a : b), undefined);
  if (best === undefined) return n;
  const r = best.residuals;
  let [sum, square] = [0, 0];
  for (let i = 0; i < n; i++) {
    square += (r[i] as number) ** 2;
    if (i > 0) sum += (r[i] as number) * (r[i - 1] as number);
  }
  const k = best.count;
  const seen = square > 0 ? sum / square : 0;
  const rho = Math.max(0, Math.min(0.99, seen + (k + (k + 2) * seen) / n));
  return Math.max(best.count + 2, (n * (1 - rho)) / (1 + rho));
}

const quantileFor = (independent: number, count: number): number =>
  studentTQuantile(0.975, Math.max(1, independent - count));

/** Standard errors for independent residuals are too small by this factor. */
const widening = (n: number, independent: number, count: number): number =>
  Math.sqrt((n - count) / Math.max(1, independent - count));

function toFitted(fit: StackLawFit, independent: number): FittedStackLaw {
  const n = fit.residuals.length;
  const reach = quantileFor(independent, fit.count) * widening(n, independent, fit.count);
  const largest = fit.residuals.reduce((a, r) => Math.max(a, Math.abs(r)), 0);
  // Heights have one more parameter, their spread.
  const k = fit.count + 1;
  const names = stackParameters(fit.name);
  const logarithmic = logarithmicParameters(fit.name);
  const corrected = (2 * k * (k + 1)) / Math.max(1, independent - k - 1);
  return {
    law: fit.law,
    parameters: names.map((name, i) => {
      const value = fit.parameters[i] as number;
      const half = reach * (fit.standardErrors[i] as number);
      return {
        name,
        value,
        interval95: logarithmic[i]
          ? [value * Math.exp(-half), value * Math.exp(half)]
          : [value - half, value + half],
      };
    }),
    correlation: names.map((_, i) =>
      Array.from(fit.correlation.subarray(i * names.length, (i + 1) * names.length)),
    ),
    residualRms: Math.sqrt(fit.rss / n) / fit.heightAtRest,
    residualLargest: largest / fit.heightAtRest,
    evidence: independent * Math.log(fit.rss / n) + 2 * k + corrected,
  };
}
