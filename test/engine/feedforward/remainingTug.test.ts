import { describe, expect, it } from 'vitest';
import { feedForward } from '../../../src/engine/feedforward/feedForward.js';
import { remainingTug } from '../../../src/engine/feedforward/remainingTug.js';
import { normal95, roller, stated, statedDrive } from '../../support/statedIdentification.js';

const id = stated(roller);

describe('tug that a table leaves', () => {
  it('is half width and straight-line error through gear and radius, by hand', () => {
    const table = feedForward(id, statedDrive, { tolerance: 0.05 });
    const tug = remainingTug(id, statedDrive, table, 'forward', 31);
    for (const { speed: w, force, uncertaintyForce, lineError, torque } of tug) {
      expect(torque).toBeCloseTo(0.6 + 0.003 * w + 1e-5 * w * w, 12);
      const half = normal95 * Math.sqrt(0.005 ** 2 + (w * 0.00005) ** 2 + (w * w * 2e-7) ** 2);
      expect(uncertaintyForce).toBeCloseTo((half * 2.5) / 0.1, 9);
      // between rows a and b a parabola K·w² lies K·(w − a)·(b − w) below its chord
      const b = table.rows.find((r) => r.speed >= w)!.speed;
      const a = table.rows.findLast((r) => r.speed <= w)!.speed;
      expect(lineError).toBeCloseTo(1e-5 * (w - a) * (b - w), 12);
      expect(force).toBeCloseTo(((half + lineError) * 2.5) / 0.1, 9);
    }
    // no point beats the error that the table states, and one comes near it
    const worst = Math.max(...tug.map((t) => t.lineError));
    expect(worst).toBeLessThanOrEqual(table.interpolationError! * (1 + 1e-9));
    expect(worst).toBeGreaterThan(0.9 * table.interpolationError!);
  });

  it('holds the rows, where the straight lines miss nothing', () => {
    const table = feedForward(id, statedDrive);
    const tug = remainingTug(id, statedDrive, table, 'forward');
    for (const row of table.rows) {
      const at = tug.find((t) => t.speed === row.speed)!;
      expect(at.lineError).toBeLessThan(1e-12);
      expect(at.force).toBeCloseTo(row.tugHalfWidth!, 9);
    }
  });

  it('states no force without a roller radius, and nothing without a law', () => {
    const table = feedForward(id, statedDrive);
    expect(remainingTug(id, { gearRatio: 2.5 }, table, 'forward')[0]).not.toHaveProperty('force');
    expect(remainingTug(stated({}), statedDrive, table, 'forward')).toEqual([]);
    expect(remainingTug(id, statedDrive, table, 'reverse')).toEqual([]);
  });
});
