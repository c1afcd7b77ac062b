import type { Where } from '../errors.js';

/**
 * A finding's place in words: `{ from_s: 3.2, channel: 'n' }` reads "from 3.2 s, channel n". What follows the first
 * underscore of a key is its unit.
 */
export function placeInWords(where: Where): string {
  return Object.entries(where)
    .map(([key, value]) => {
      const [name = '', ...unit] = key.split('_');
      const spaced = name.replace(/([a-z])([A-Z])/g, (_, a: string, b: string) => `${a} ${b.toLowerCase()}`);
      const parts = Array.isArray(value) ? value : [value];
      const values = parts.map((v) => (typeof v === 'number' ? String(Number(v.toPrecision(6))) : String(v)));
      const unitText = unit.join('_').replaceAll('_per_', '/').replaceAll('_', ' ');
      return [spaced, values.join(' to '), unitText].filter((t) => t !== '').join(' ');
    })
    .join(', ');
}
