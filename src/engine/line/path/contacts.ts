import type { Length } from '../../units/quantity.js';
import { circleNamed, type PathCircle } from './circle.js';

/** How deep rollers in a nip may overlap in the drawing [m]: coordinates are stated to the millimetre, and covers yield. */
export const contactAllowance: Length = 1e-3;

/** Which rollers touch on purpose, in either order. */
export interface Contacts {
  has(a: string, b: string): boolean;
}

/** The pairs as a look-up. @throws TautlineError argument_invalid for a name that no circle has. */
export function contactsOf(
  circles: readonly PathCircle[],
  pairs: readonly (readonly [string, string])[],
): Contacts {
  const partners = new Map<string, Set<string>>();
  for (const [a, b] of pairs)
    for (const [one, other] of [
      [a, b],
      [b, a],
    ] as const) {
      circleNamed(circles, one);
      partners.set(one, (partners.get(one) ?? new Set()).add(other));
    }
  return { has: (a, b) => partners.get(a)?.has(b) ?? false };
}
