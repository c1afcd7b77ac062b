import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import {
  type AnnotatedStretch,
  annotationsText,
  stretchBounds,
} from '../../../src/engine/project/annotations.js';

const number = fc.double({ noNaN: true, noDefaultInfinity: true });

describe('notes beside a recording', () => {
  test('are read from their text exactly as they were written, whatever was typed', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({ from_s: number, to_s: number, text: fc.string({ unit: 'binary', minLength: 1 }) }),
        ),
        (stretches) => {
          const sorted = [...stretches].sort((a, b) => a.from_s - b.from_s);
          const { schema, stretches: back } = parse(annotationsText(stretches)) as {
            schema: string;
            stretches: AnnotatedStretch[];
          };
          expect(schema).toBe('tautline/annotations@1');
          // -0 is written 0
          expect(back).toEqual(sorted.map((s) => ({ ...s, from_s: s.from_s + 0, to_s: s.to_s + 0 })));
        },
      ),
    );
  });

  test('have both ends on one axis, in order', () => {
    expect(stretchBounds({ from_s: -1, to_s: 2, text: 'a' }, 0)).toEqual({ from: -1, to: 2, axis: 's' });
    expect(stretchBounds({ from_row: 4, to_row: 9, text: 'a' }, 0).axis).toBe('row');
    for (const wrong of [
      {},
      { from_s: 1 },
      { to_s: 1 },
      { from_s: 2, to_s: 1 },
      { from_s: 2, to_s: 2 },
      { from_s: 1, to_row: 2 },
      { from_s: 1, to_s: 2, from_row: 3, to_row: 4 },
      { from_s: Number.NaN, to_s: 2 },
    ])
      expect(() => stretchBounds({ ...wrong, text: 'a' }, 3), JSON.stringify(wrong)).toThrow(
        expect.objectContaining({
          code: 'document_value',
          where: expect.objectContaining({ pointer: 'stretches.3' }),
        }),
      );
  });
});
