import { resolve } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Line } from '../../../../../src/engine/line/line.js';
import { tugBudget } from '../../../../../src/engine/line/tug/tugBudget.js';
import type { Product } from '../../../../../src/engine/program/product.js';
import { programmeLine } from '../../../../../src/engine/program/programmeLine.js';
import { type LineLimits, lineLimits } from '../../../../../src/engine/program/roll/lineLimits/lineLimits.js';
import {
  allowedDifferential,
  limitName,
} from '../../../../../src/engine/program/roll/lineLimits/shareBounds.js';
import type { RollInput } from '../../../../../src/engine/program/roll/rollInput.js';
import { readLine } from '../../../../../src/node/lineFolder/readLine.js';
import { readProduct } from '../../../../../src/node/lineFolder/readProduct.js';
import { readRoll } from '../../../../../src/node/lineFolder/readRoll.js';

const demo = resolve(import.meta.dirname, '../../../../../demo');
let line: Line;
let product: Product;
let roll: RollInput;
beforeAll(async () => {
  line = (await readLine(resolve(demo, 'line.yaml'))).line;
  product = (await readProduct(resolve(demo, 'products/coated-paper-80.yaml'))).product;
  roll = (await readRoll(resolve(demo, 'rolls/coated-paper-80.yaml'))).input;
});
const limitsOf = (input = roll, of: Product | 'none' = product, on = line): LineLimits => {
  const found = lineLimits(input, on, of === 'none' ? undefined : of);
  if (!('winder' in found)) throw new Error(found.findings.map((f) => f.message).join('; '));
  return found;
};

describe('limits of a line for a roll', () => {
  it('are those of the product where they are tightest, with their names', () => {
    const found = limitsOf();
    expect(found.winder).toBe('winder');
    // A splice holds 110 % of the schedule, so that the schedule itself may reach 400/1.1 N/m; nothing holds less than all of it.
    expect(found.highestTension?.value).toBeCloseTo(400 / 1.1, 9);
    expect(found.highestTension?.name).toBe(
      'highest tension of the product, at a setpoint of 110 % of the schedule',
    );
    expect(found.lowestTension?.value).toBe(120);
    expect(found.lowestNip?.value).toBe(150);
    expect(found.highestNip?.value).toBe(800);
    expect(found.steepest?.value).toBe(2);
  });

  it('fall to the share of the strength where that is less: 20 % of 1500 N/m', () => {
    const weak = limitsOf({ ...roll, web: { ...roll.web, strength: 1500 } });
    expect(weak.highestTension?.value).toBeCloseTo(300 / 1.1, 9);
    expect(weak.highestTension?.name).toMatch(/^20\.0 % of the web’s strength, at a setpoint/);
    const alone = limitsOf({ ...roll, web: { ...roll.web, strength: 1500 } }, 'none');
    expect(alone.highestTension?.value).toBe(375);
    expect(alone.lowestNip).toBeUndefined();
  });

  it('keep the limits of the program that the schedule becomes: at the highest tension its check is just met', () => {
    const bound = limitsOf().highestTension?.value ?? 0;
    const margin = (start: number): number => {
      const winder = {
        ...(product.winder as NonNullable<Product['winder']>),
        tension: { law: { law: 'constant' as const, start }, pointer: 'winder.tension' },
      };
      const { limits = [] } = programmeLine(line, { ...product, winder }, 20).winder ?? {};
      return limits.find((l) => l.name === 'highest tension')?.margin ?? Number.NaN;
    };
    expect(margin(bound)).toBeCloseTo(0, 9);
    expect(margin(1.001 * bound)).toBeLessThan(0);
  });

  it('bound motors as the program of the line does: at the bound its check is just met, and broken a little beyond', () => {
    const { shares } = limitsOf();
    expect(shares.motor1?.name).toBe('winder');
    expect(shares.motor2?.name).toBe('rider roller');
    const at = shares.diameters.length - 1;
    const [d, force] = [shares.diameters[at] as number, shares.motor1?.upper[at] as number];
    // The same roll as a program whose own motor makes that force at the full diameter: s₁ = (T + d)/2 with d = T.
    const margin = (s1: number): number => {
      const constant = (start: number, pointer: string) =>
        ({ law: { law: 'constant', start }, pointer }) as const;
      const program = {
        ...product,
        winder: {
          ...(product.winder as NonNullable<Product['winder']>),
          tension: constant(s1, 'winder.tension'),
          torqueDifferential: constant(s1, 'winder.torque_differential'),
          setpoint: { stall: 1, fullFrom: 0, accelerating: 1, decelerating: 1 },
        },
      };
      const { checks } = programmeLine(line, program, 20);
      return Math.min(
        ...(checks.get('winder')?.limits ?? [])
          .filter((l) => l.unit === 'Nm' && Math.abs(l.diameter - d) < 1e-6)
          .map((l) => l.margin),
      );
    };
    const plain = limitsOf(roll, {
      ...product,
      winder: {
        ...(product.winder as NonNullable<Product['winder']>),
        setpoint: { stall: 1, fullFrom: 0, accelerating: 1, decelerating: 1 },
      },
    });
    const bound = plain.shares.motor1?.upper[at] as number;
    expect(bound).toBeGreaterThanOrEqual(force);
    expect(margin(0.999 * bound)).toBeGreaterThan(0);
    expect(margin(0.999 * bound)).toBeLessThan(0.01);
    expect(margin(1.01 * bound)).toBeLessThan(0);
  });

  const withFriction = (friction: number): Line => ({
    ...line,
    sections: line.sections.map((s) => ({
      ...s,
      rollers: s.rollers.map((r) => ({ ...r, friction })),
    })) as Line['sections'],
  });
  const open: () => Product = () => ({ ...product, limits: { strengthShare: 0.2 } });

  it('rise to where the rollers before the winder still grip: the roller that slips first is named', () => {
    const slippery = withFriction(0.012);
    const found = limitsOf(roll, open(), slippery).lowestTension;
    expect(found?.name).toBe('traction of load cell');
    // The tug budget of the line says the same: it slips a little below that tension, and grips at it.
    const reserve = (tension: number): number =>
      tugBudget(slippery, {
        web: { ...product.web, ...roll.web },
        winderTension: { low: tension, high: tension },
      })
        ?.zones.flatMap((z) => z.rollers)
        .find((r) => r.name === 'load cell')?.reserve ?? Number.NaN;
    const tension = found?.value ?? 0;
    expect(tension).toBeGreaterThan(20);
    expect(tension).toBeLessThan(600);
    expect(reserve(tension)).toBeGreaterThanOrEqual(1);
    expect(reserve(0.99 * tension)).toBeLessThan(1);
  });

  it('do not rise for a roller that slips at any tension: that is said instead', () => {
    const found = limitsOf(roll, open(), withFriction(1e-5));
    expect(found.lowestTension).toBeUndefined();
    expect(found.findings.map((f) => f.code)).toContain('traction_lost');
    expect(found.findings[0]?.message).toMatch(
      /slips on load cell before the winder at any tension up to 640 N\/m/,
    );
  });

  it('are none for a roll of another winder or a wider web, and say so', () => {
    for (const [input, wanted] of [
      [
        { ...roll, method: 'centre' as const },
        /wound on a centre winder, and winder of the line is a centre-surface/,
      ],
      [{ ...roll, web: { ...roll.web, width: 2 } }, /2\.00 m wide, and that of the line 1\.60 m/],
    ] as const) {
      const found = lineLimits(input, line, product);
      expect('winder' in found).toBe(false);
      expect(found.findings.map((f) => f.code)).toEqual(['roll_not_of_line']);
      expect(found.findings[0]?.message).toMatch(wanted);
    }
  });
});

describe('what motors and drums allow of a differential', () => {
  it('is the tightest of both motors and the drum, by hand, with straight lines between diameters', () => {
    const bounds = {
      diameters: Float64Array.from([0.2, 1]),
      motor1: { name: 'own', lower: Float64Array.from([-100, -50]), upper: Float64Array.from([400, 200]) },
      drum: { name: 'drum', friction: 0.3, wrap: 0 },
    };
    // At 0.6 m the motor gives 300 N/m: d ≤ 2·300 − T = 200; the drum 0.3·N = 60 N/m either way: T − 2·60 ≤ d ≤ T + 2·60.
    const found = allowedDifferential(bounds, 0.6, 400, 200);
    expect(found.upper).toBeCloseTo(200, 9);
    expect(found.lower).toBeCloseTo(280, 9);
    expect(limitName(bounds, found.upperBy)).toBe('the motor of own');
    expect(limitName(bounds, found.lowerBy)).toBe('the grip of drum');
  });
});
