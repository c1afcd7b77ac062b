/** A linear map from a domain of values to a range of drawing units. */
export interface Scale {
  readonly domain: readonly [number, number];
  readonly range: readonly [number, number];
  (value: number): number;
}

/** Linear scale; a domain of zero width is widened so that the map stays finite. NaN in, NaN out. */
export function linearScale(domain: readonly [number, number], range: readonly [number, number]): Scale {
  const [d0, d1] = widened(domain);
  const slope = (range[1] - range[0]) / (d1 - d0);
  const map = (value: number): number => range[0] + (value - d0) * slope;
  return Object.assign(map, { domain: [d0, d1] as const, range });
}

/**
 * Logarithmic scale over positive ends. A value below a tenth of the lower end, and so 0 too, stands there: outside, and the map stays finite. NaN in, NaN out.
 */
export function logScale(domain: readonly [number, number], range: readonly [number, number]): Scale {
  const [d0, d1] = domain[0] > 0 && domain[1] > domain[0] ? domain : ([0.1, 10] as const);
  const [l0, l1] = [Math.log10(d0), Math.log10(d1)];
  const slope = (range[1] - range[0]) / (l1 - l0);
  const map = (value: number): number =>
    range[0] + (Number.isNaN(value) ? value : Math.log10(Math.max(value, d0 / 10)) - l0) * slope;
  return Object.assign(map, { domain: [d0, d1] as const, range });
}

/** Ticks at 1, 2 and 5 times powers of ten, or at powers of ten alone, in the end at some of them, where that would be more than `most`; ends positive. */
export function logTicks(min: number, max: number, most: number): number[] {
  const at = (factors: readonly number[]): number[] => {
    const out: number[] = [];
    for (let k = Math.floor(Math.log10(min)); k <= Math.ceil(Math.log10(max)); k++)
      for (const f of factors) {
        const value = Number(`${f}e${k}`);
        if (value >= min * (1 - 1e-9) && value <= max * (1 + 1e-9)) out.push(value);
      }
    return out;
  };
  const fine = at([1, 2, 5]);
  if (fine.length <= most) return fine;
  const decades = at([1]);
  const every = Math.ceil(decades.length / Math.max(1, most));
  return decades.filter((_, k) => k % every === 0);
}

/** A domain with a width: a single value gets room on both sides, an unusable pair becomes 0 to 1. */
function widened(domain: readonly [number, number]): [number, number] {
  const [a, b] = domain;
  if (!(Number.isFinite(a) && Number.isFinite(b) && a <= b)) return [0, 1];
  const smallest = Math.max(Math.abs(a), Math.abs(b)) * 1e-9;
  if (b - a > smallest) return [a, b];
  const room = a === 0 ? 1 : Math.abs(a) * 0.5;
  return [a - room, b + room];
}

/** The step of 1, 2 or 5 times a power of ten that cuts `span` into about `count` parts (span and count above 0). */
export function niceStep(span: number, count: number): number {
  const raw = span / count;
  const power = 10 ** Math.floor(Math.log10(raw));
  const factor = raw / power;
  // The bounds are the geometric means of neighbours: the nearest of 1, 2, 5, 10 in ratio.
  return power * (factor < Math.SQRT2 ? 1 : factor < Math.sqrt(10) ? 2 : factor < Math.sqrt(50) ? 5 : 10);
}

/** Ticks at multiples of a 1-2-5 step inside [min, max], about count of them; each is rounded to the step's decimals. */
export function niceTicks(min: number, max: number, count: number): number[] {
  const [a, b] = widened([min, max]);
  const step = niceStep(b - a, count);
  const first = Math.ceil(a / step - 1e-9);
  const last = Math.floor(b / step + 1e-9);
  const decimals = decimalsOf(step);
  const ticks: number[] = [];
  for (let k = first; k <= last; k++) {
    const value = decimals <= 20 ? Number((k * step).toFixed(decimals)) : k * step;
    ticks.push(value === 0 ? 0 : value);
  }
  return ticks;
}

/** Decimals that show a 1-2-5 step exactly. */
function decimalsOf(step: number): number {
  return Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
}

/** Tick labels with equal decimals; a power of ten beyond 10^5 or under 10^-4 goes into the number as e-notation. */
export function tickLabels(ticks: readonly number[]): string[] {
  if (ticks.length < 2) return ticks.map((t) => withMinus(String(t)));
  const step = Math.abs((ticks[1] ?? 0) - (ticks[0] ?? 0));
  const largest = Math.max(...ticks.map(Math.abs));
  if (largest >= 1e6 || step < 1e-5) return ticks.map((t) => withMinus(t === 0 ? '0' : shortExponent(t)));
  const decimals = decimalsOf(step);
  return ticks.map((t) => withMinus(t.toFixed(decimals)));
}

const shortExponent = (value: number): string => value.toExponential(3).replace(/\.?0+e\+?/, 'e');

const withMinus = (text: string): string => text.replaceAll('-', '−');

/** Smallest and largest finite value, or undefined where there is none. */
export function extent(values: Iterable<number>): [number, number] | undefined {
  let min = Number.POSITIVE_INFINITY;
  let max = Number.NEGATIVE_INFINITY;
  for (const value of values) {
    if (!Number.isFinite(value)) continue;
    if (value < min) min = value;
    if (value > max) max = value;
  }
  return min <= max ? [min, max] : undefined;
}
