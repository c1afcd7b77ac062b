/**
 * Plateau pressure [Pa] of a roll of constant wound-on stress, by its own differential equation and no laps. Far from the core P depends on
 * y = ln(s/r) alone: q·dq/dP = 2·q + [G(P) − P] − [G(P∞) − P∞], q(P∞) = 0, q(0) = σ, G = (E_t/K2)·ln(1 + P/K1).
 */
export function plateauPressure({
  modulus,
  k1,
  k2,
  sigma,
}: {
  modulus: number;
  k1: number;
  k2: number;
  sigma: number;
}): number {
  const g = (p: number): number => (modulus / k2) * Math.log1p(p / k1);
  // Integrated from P∞ down to 0 with the slope at P∞ from linearising: q ≈ (√(E_t/E_r) − 1)·(P∞ − P)
  const start = (end: number): number => {
    const steps = 20000;
    let p = end * (1 - 0.001 / steps);
    let q = (Math.sqrt(modulus / (k2 * (end + k1))) - 1) * (end - p);
    const f = (x: number, y: number): number => (2 * y + (g(x) - x) - (g(end) - end)) / y;
    const step = p / steps;
    for (let k = 0; k < steps; k++) {
      const a = f(p, q);
      const b = f(p - step / 2, q - (step / 2) * a);
      const c = f(p - step / 2, q - (step / 2) * b);
      const d = f(p - step, q - step * c);
      q -= (step / 6) * (a + 2 * b + 2 * c + d);
      p -= step;
    }
    return q;
  };
  let [low, high] = [1e4, 4e6];
  for (let k = 0; k < 60; k++) {
    const middle = 0.5 * (low + high);
    if (start(middle) < sigma) low = middle;
    else high = middle;
  }
  return low;
}
