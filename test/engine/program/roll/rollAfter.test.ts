import { describe, expect, it } from 'vitest';
import { predictRoll } from '../../../../src/engine/program/roll/predictRoll.js';
import type { RollInput } from '../../../../src/engine/program/roll/rollInput.js';
import { newsprintRoll } from '../../../support/newsprintRoll.js';

const cooled: RollInput = {
  ...newsprintRoll(200),
  unwinding: { tension: 250, deceleration: 1 },
  afterWinding: {
    expansion: { along: 5e-6, through: 4e-5, core: 2e-5 },
    steps: [{ temperature: -10 }, { temperature: -10 }],
  },
};
/** With friction times a share, so that the smallest margin of a way of handling is moved to where it is wanted. */
const withFriction = (share: number): RollInput => ({
  ...cooled,
  web: { ...cooled.web, friction: (cooled.web.friction ?? 0) * share },
});
const margin = (of: {
  readonly slipCases: readonly { name: string; smallest: { value: number } }[];
}): number => of.slipCases.find((c) => c.name === 'unwinding stop')?.smallest.value ?? Number.NaN;
const said = (input: RollInput): string[] =>
  predictRoll(input)
    .findings.filter((f) => f.code === 'layers_slip' && /stop of the unwind/.test(f.message))
    .map((f) => f.message);

describe('slip after winding', () => {
  const wound = predictRoll(cooled);

  it('is said of the step that brings it, once', () => {
    const [first, second] = wound.after.map(margin) as [number, number];
    expect(first).toBeLessThan(margin(wound));
    expect(second).toBeLessThan(first);
    // between the margin as wound and after the first step, and between the first and the second
    for (const [from, to, step] of [
      [margin(wound), first, 1],
      [first, second, 2],
    ] as const) {
      const words = said(withFriction(1 / Math.sqrt(from * to)));
      expect(words).toHaveLength(1);
      expect(words[0]).toMatch(new RegExp(`^after step ${step} layers slip \\(in a stop of the unwind\\)`));
    }
  });

  it('is not said again of what slips as wound', () => {
    const words = said(withFriction(0.9 / margin(wound)));
    expect(words).toHaveLength(1);
    expect(words[0]).not.toMatch(/after step/);
  });
});
