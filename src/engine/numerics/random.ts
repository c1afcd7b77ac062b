import { TautlineError } from '../errors.js';

/** A seeded source of random numbers: the same seed gives the same numbers on every machine. */
export interface Random {
  /** Uniform on [0, 1), 53 bits. */
  uniform(): number;
  /** Standard normal. */
  normal(): number;
  /** Integer from 0 to n - 1, each equally likely; n from 1 to 2^32. */
  integer(n: number): number;
  /** An independent source named by `label`; it neither depends on nor changes how far this one has been drawn. */
  fork(label: string): Random;
}

/**
 * Seeded random numbers from xoshiro128**, its state filled from seed and labels by a string hash (FNV-1a) and splitmix32
 * steps. Normal numbers by Marsaglia's polar method. Not for secrets.
 * Source: Blackman and Vigna, "Scrambled linear pseudorandom number generators", 2021 (from memory).
 */
export function createRandom(seed: number | string): Random {
  return makeRandom(String(seed));
}

function makeRandom(name: string): Random {
  const next = xoshiro128starstar(stateFrom(name));
  const uniform = (): number => ((next() >>> 5) * 67108864 + (next() >>> 6)) / 9007199254740992;
  let spare = Number.NaN;
  return {
    uniform,
    normal() {
      if (!Number.isNaN(spare)) {
        const kept = spare;
        spare = Number.NaN;
        return kept;
      }
      for (;;) {
        const x = 2 * uniform() - 1;
        const y = 2 * uniform() - 1;
        const square = x * x + y * y;
        if (square >= 1 || square === 0) continue;
        const factor = Math.sqrt((-2 * Math.log(square)) / square);
        spare = y * factor;
        return x * factor;
      }
    },
    integer(n) {
      if (!(Number.isInteger(n) && n >= 1 && n <= 4294967296))
        throw new TautlineError(
          'argument_invalid',
          { n },
          `a random integer needs a bound from 1 to 2^32, not ${n}`,
          'pass the number of choices',
        );
      // Draws in the last, incomplete block of n are thrown away: they would favour small integers.
      const limit = 4294967296 - (4294967296 % n);
      for (;;) {
        const draw = next();
        if (draw < limit) return draw % n;
      }
    },
    fork: (label) => makeRandom(`${name}/${label}`),
  };
}

/** The bare generator: successive 32-bit outputs from a state of four 32-bit words, not all zero. */
export function xoshiro128starstar(state: readonly [number, number, number, number]): () => number {
  let [a, b, c, d] = state;
  const rotate = (x: number, k: number): number => (x << k) | (x >>> (32 - k));
  return () => {
    const result = Math.imul(rotate(Math.imul(b, 5), 7), 9) >>> 0;
    const shifted = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= shifted;
    d = rotate(d, 11);
    return result;
  };
}

function stateFrom(name: string): [number, number, number, number] {
  let hash = 0x811c9dc5;
  for (let i = 0; i < name.length; i++) hash = Math.imul(hash ^ name.charCodeAt(i), 0x01000193);
  const word = (): number => {
    hash = (hash + 0x9e3779b9) | 0;
    let z = hash ^ (hash >>> 16);
    z = Math.imul(z, 0x21f0aaad);
    z ^= z >>> 15;
    z = Math.imul(z, 0x735a2d97);
    return z ^ (z >>> 15);
  };
  return [word(), word(), word(), word()];
}
