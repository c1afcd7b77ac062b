import { expect, test } from 'vitest';
import { assistTorque } from '../../../src/engine/feedforward/assist.js';
import { feedForward } from '../../../src/engine/feedforward/feedForward.js';
import { toFeedForwardDocument } from '../../../src/engine/project/feedforward.js';
import { roller, stated, statedDrive } from '../../support/statedIdentification.js';

// Documents that no recording gives but a hand-edited file may: nothing may turn into a number that is none.

test('a range that begins at standstill still fades the assist, without a jump', () => {
  const { assist } = feedForward(stated(roller, { speedRange: [0, 150] }), statedDrive);
  expect(assist?.fadeSpeed).toBeGreaterThan(0);
  expect(assistTorque(assist!, 0, 0)).toBeCloseTo(0.95 - 0.6, 12);
});

test('a Stribeck term that decays over no speed is no term', () => {
  const odd = { ...roller, stribeck: [0.2, 0.02], stribeckSpeed: [0, 1] } as const;
  expect(feedForward(stated(odd), statedDrive).rows).toEqual(
    feedForward(stated(roller), statedDrive).rows.map((r) =>
      expect.objectContaining({ speed: r.speed, torque: r.torque }),
    ),
  );
});

test('a drag that vanishes at the top still has a tolerance to keep; one that vanishes everywhere is no drag', () => {
  const falling = feedForward(stated({ ...roller, viscous: [-0.004, 1e-5], quadratic: [0, 0] }), statedDrive);
  expect(falling.rows.at(-1)?.torque).toBeCloseTo(0, 12);
  const none = feedForward(
    stated({ ...roller, coulomb: [0, 1], viscous: [0, 1], quadratic: [0, 1] }),
    statedDrive,
  );
  expect(none.verdict).toBe('refused');
  expect(() => toFeedForwardDocument(none, 10)).not.toThrow();
});

test('at the start the acceleration counts with the assist: both are asked for at once', () => {
  // Breakaway 0.95 N·m, and 0.02 kg·m² times 1 m/s² · 2.5 / 0.1 m = 0.5 N·m. The limit lies between the 1.40 at top speed and the 1.45 at start.
  const limit = 1.44;
  const law = { ...roller, quadratic: [0, 0], viscous: [0.002, 1e-5] } as const;
  const drive = { ...statedDrive, ratedTorque: limit, torqueLimit: 1 };
  const at = (acceleration: number) =>
    feedForward(stated(law), drive, { acceleration }).findings.find((f) => f.code === 'torque_limit');
  expect(at(1)?.where.torque_Nm).toBeCloseTo(1.45, 9);
  expect(at(1)?.where.speed_rad_per_s).toBe(0);
  expect(at(0.97)).toBeUndefined();
});
