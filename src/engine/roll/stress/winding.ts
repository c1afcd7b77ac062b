import type { Length, TensionPerWidth } from '../../units/quantity.js';
import { opaque } from './cellTerms.js';
import type { StackModulus } from './stackModulus.js';
import type { WindingInput } from './windingInput.js';

/** Increments below this share of the lap's own are no longer followed towards the core: they cannot change a double. */
const negligible = 1e-18;
/** Up to these (g·Δx)² the short and the long series of cosh g·Δx and sinh(g·Δx)/(g·Δx) are right to rounding. */
const shortSeries = 1e-4;
const longSeries = 0.02;
/** Cells that are shaped in one call. */
const cellsAtOnce = 128;
/** The shape is measured anew before it leaves the range of a double. */
const largeShape = 1e100;

/**
 * Interfaces that are followed, from the core outwards: every lap, or fewer where a window thinned them. What each lap adds is Q(x) = r·dP; its shape
 * φ over x = ln r, from the core outwards, is kept, and the lap's tension gives its size. A class, since V8 keeps the numbers of its fields off the heap from the first roll on.
 */
export class Winding {
  /** How many are followed now. */
  nodes = 0;
  /** Lap above each, counted from the core, and its radius [m]. */
  readonly lapAt: Float64Array;
  readonly radius: Float64Array;
  /** Pressure [Pa] without what of the newest lap is `pending`. */
  readonly pressure: Float64Array;
  /** Δx [1] of the cell above each interface, and 1/r [1/m]. */
  readonly width: Float64Array;
  readonly perRadius: Float64Array;
  /** φ of the newest lap and its slope dφ/dx. */
  readonly shape: Float64Array;
  readonly slope: Float64Array;
  /** The newest lap adds size·φ/r [N/m]; that much of it is not in the pressure yet. */
  size: number;
  pending: number;
  /** How much less of a lap reaches inwards than of the lap before it. */
  attenuation: number;
  /** Innermost interface that the newest lap reaches. */
  from = 0;
  readonly caliper: number;
  readonly modulus: number;
  /** Radial modulus as rise·P + atRest, or any other law. */
  readonly rise: number;
  readonly atRest: number;
  readonly general: StackModulus | undefined;
  /** Share of an increment at which the modulus is taken. */
  readonly share: number;

  /** A core without laps [Pa, m]. `capacity` the most interfaces that are followed at a time. */
  constructor(
    { caliper, modulus, poisson, coreStiffness, stack, update = 'mid-increment' }: WindingInput,
    capacity: number,
  ) {
    this.lapAt = new Float64Array(capacity);
    this.radius = new Float64Array(capacity);
    this.pressure = new Float64Array(capacity);
    this.width = new Float64Array(capacity);
    this.perRadius = new Float64Array(capacity);
    this.shape = new Float64Array(capacity);
    this.slope = new Float64Array(capacity);
    // φ = 1 at the core, φ′ = (E_t/E_c + ν)·φ
    this.shape[0] = 1;
    this.slope[0] = modulus / coreStiffness + poisson;
    this.size = 0;
    this.pending = 0;
    this.attenuation = 0;
    this.caliper = caliper;
    this.modulus = modulus;
    this.rise = stack.linear?.slope ?? 0;
    this.atRest = stack.linear?.atZero ?? 0;
    this.general = stack.linear === undefined ? stack : undefined;
    this.share = update === 'explicit' ? 0 : 0.5;
  }
}

/** Sets the size of the cell between node i and the next one, Δx of x = ln r [1]. Source: docs/models/wound-roll.md. */
export function sizeCell(winding: Winding, i: number): void {
  const { lapAt, radius, caliper, width } = winding;
  // ln(r_{i+1}/r_i) by log1p: the difference of two logarithms would lose digits on thin webs.
  width[i] = Math.log1p(((lapAt[i + 1] - lapAt[i]) * caliper) / radius[i]);
}

/** Lays a lap at a radius [m], without any pressure yet. Source: docs/models/wound-roll.md. */
export function layLap(winding: Winding, lap: number, radius: Length): void {
  const node = winding.nodes++;
  winding.lapAt[node] = lap;
  winding.radius[node] = radius;
  winding.perRadius[node] = 1 / radius;
  winding.pressure[node] = 0;
  if (node > 0) sizeCell(winding, node - 1);
}

/** Pulls the lap that was just laid tight [N/m]: what it adds is pending until the next lap, or until the winding is settled. Source: docs/models/wound-roll.md. */
export function pullTight(winding: Winding, tension: TensionPerWidth): void {
  foreseeLap(winding, tension);
  const { shape, slope, nodes } = winding;
  const last = nodes - 1;
  winding.pending = winding.size;
  winding.attenuation = last === 0 ? 0 : shape[last - 1] / shape[last];
  if (shape[last] > largeShape) {
    const unit = 1 / shape[last];
    for (let i = 0; i <= last; i++) {
      shape[i] *= unit;
      slope[i] *= unit;
    }
    winding.size = tension;
    winding.pending = tension;
  }
  const least = negligible * shape[last];
  while (winding.from < last && shape[winding.from + 1] < least) winding.from++;
  while (winding.from > 0 && shape[winding.from] > least) winding.from--;
}

/** Solves the lap that was just laid [N/m] without adding it, so that its next solution takes the modulus at its own increments. Source: docs/models/wound-roll.md. */
export function foreseeLap(winding: Winding, tension: TensionPerWidth): void {
  const last = winding.nodes - 1;
  sweepOutwards(winding, last, tension * winding.perRadius[last]);
  winding.size = tension / winding.shape[last];
  winding.pending = 0;
  winding.attenuation = 1;
}

/** Adds what is pending to the pressures. Source: docs/models/wound-roll.md. */
export function settle(winding: Winding): void {
  const { pressure, shape, perRadius, pending, nodes } = winding;
  if (pending === 0) return;
  for (let i = winding.from; i < nodes; i++) pressure[i] += pending * shape[i] * perRadius[i];
  winding.pending = 0;
}

/** Size of the increment at whose pressure the modulus is taken. */
const foreseen = ({ share, attenuation, size }: Winding): number => share * attenuation * size;

/**
 * One pass outwards from where the lap before reached: adds that lap to the pressures, and shapes the new one. The modulus is taken in the middle of the
 * new increment, which is foreseen as that of the lap before times the attenuation; at the new lap itself it is `surface` [Pa].
 */
function sweepOutwards(winding: Winding, last: number, surface: number): void {
  const { pressure, perRadius, shape, rise, general } = winding;
  // A constant modulus never changes a shape: only the new cell is added to it.
  const isConstant = general === undefined && rise === 0;
  if (isConstant) settle(winding);
  if (last === 0) return;
  const guess = foreseen(winding);
  const from = isConstant ? last - 1 : winding.from;
  const newest = shape[from] * perRadius[from];
  pressure[from] += winding.pending * newest;
  let inner = pressure[from] + guess * newest;
  // Nothing is in the new lap yet: what it is foreseen to have in the middle of its own increment stands in for that.
  shape[last] = 0;
  pressure[last] = winding.share * surface;
  for (let i = from; i < last; i += cellsAtOnce)
    inner = shapeCells(winding, i, Math.min(i + cellsAtOnce, last), inner);
  pressure[last] = 0;
  winding.pending = 0;
}

/**
 * Some cells of {@link sweepOutwards}, from interface i to `end`: φ and dφ/dx from the inner end of each to its outer end. φ grows outwards, so nothing cancels. `inner` [Pa] is the
 * pressure in the middle of the increment at i; returns that at `end`. Called for a few cells at a time, since V8 keeps the numbers of a very long loop on the heap when it
 * compiles the loop while it runs: half the speed.
 */
function shapeCells(winding: Winding, start: number, end: number, inner: number): number {
  const { radius, pressure, width, perRadius, shape, slope, modulus, atRest, general } = winding;
  const half = 0.5 * winding.rise;
  const add = winding.pending;
  const guess = foreseen(winding);
  // The sign makes a number of it for V8, which otherwise keeps an argument that enters a loop on the heap.
  let within = +inner;
  let f = shape[start];
  let s = slope[start];
  let i = start;
  while (i < end) {
    const dx = width[i];
    i++;
    const y = shape[i] * perRadius[i];
    const settled = pressure[i] + add * y;
    pressure[i] = settled;
    const outer = settled + guess * y;
    // g²·Δx and (g·Δx)²
    const steep =
      (modulus * dx) /
      (general === undefined
        ? half * (within + outer) + atRest
        : general.at(0.5 * (within + outer), radius[i - 1]));
    const q = steep * dx;
    within = outer;
    let c: number;
    let h: number;
    // In place and without a call, which would keep everything else in memory.
    if (q < shortSeries) {
      c = 1 + q * (1 / 2 + q * (1 / 24));
      h = 1 + q * (1 / 6 + q * (1 / 120));
    } else {
      // A long series of a part of the cell, and from it by doubling the whole: cosh 2x = 2·cosh² x − 1, sinh 2x/2x = cosh x·sinh x/x.
      const seen = Math.min(q, opaque * opaque);
      let part = seen;
      let doublings = 0;
      while (part > longSeries) {
        part *= 0.25;
        doublings++;
      }
      c = 1 + part * (1 / 2 + part * (1 / 24 + part * (1 / 720 + part * (1 / 40320))));
      h = 1 + part * (1 / 6 + part * (1 / 120 + part * (1 / 5040 + part * (1 / 362880))));
      for (; doublings > 0; doublings--) {
        h *= c;
        c = 2 * c * c - 1;
      }
      if (q > seen) h *= Math.sqrt(seen / q);
    }
    const before = f;
    f = c * f + h * dx * s;
    s = steep * h * before + c * s;
    shape[i] = f;
    slope[i] = s;
  }
  return within;
}
