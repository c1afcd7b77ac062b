/** Steps of the integration, each of a fourth-order rule. */
const steps = 20000;

/**
 * Plateau pressure [Pa] of a roll of constant wound-on stress `sigma`, by its own differential equation and no laps. Far from the core P depends on
 * y = ln(s/r) alone: q·dq/dP = 2·q + [G(P) − P] − [G(P∞) − P∞], q(P∞) = 0, q(0) = σ, G(P) = ∫₀^P E_t/E_r dp by Simpson's rule.
 */
export function plateauPressure({
  modulus,
  radialModulus,
  sigma,
}: {
  modulus: number;
  radialModulus: (pressure: number) => number;
  sigma: number;
}): number {
  /** G at every half step of a pressure range. */
  const integral = (end: number): Float64Array => {
    const half = end / (2 * steps);
    const ratio = (p: number): number => modulus / radialModulus(p);
    const g = new Float64Array(2 * steps + 1);
    for (let k = 0; k < 2 * steps; k++)
      g[k + 1] =
        (g[k] as number) +
        (half / 6) * (ratio(k * half) + 4 * ratio((k + 0.5) * half) + ratio((k + 1) * half));
    return g;
  };
  // Integrated from P∞ down to 0; the first step begins with the slope at P∞ from linearising, q ≈ (√(E_t/E_r) − 1)·(P∞ − P).
  const start = (end: number): number => {
    const g = integral(end);
    const step = end / steps;
    const slope = Math.sqrt(modulus / radialModulus(end)) - 1;
    const rest = (g[2 * steps] as number) - end;
    const f = (k: number, q: number): number =>
      q === 0 ? -slope : (2 * q + (g[k] as number) - (k * step) / 2 - rest) / q;
    let q = 0;
    for (let k = 2 * steps; k > 0; k -= 2) {
      const a = f(k, q);
      const b = f(k - 1, q - (step / 2) * a);
      const c = f(k - 1, q - (step / 2) * b);
      const d = f(k - 2, q - step * c);
      q -= (step / 6) * (a + 2 * b + 2 * c + d);
    }
    return q;
  };
  let [low, high] = [1e2, 1e8];
  for (let k = 0; k < 60 && high / low > 1 + 1e-10; k++) {
    const middle = Math.sqrt(low * high);
    if (start(middle) < sigma) low = middle;
    else high = middle;
  }
  return low;
}
