import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Point, twoDrumAngle, twoDrumContacts, twoDrumNip } from '../../../src/engine/roll/drumNip.js';
import { fromSI, toSI } from '../../../src/engine/units/convert.js';

const geometry = fc
  .record({
    drum: fc.double({ min: 0.05, max: 0.5, noNaN: true }),
    gap: fc.double({ min: 0.001, max: 0.2, noNaN: true }),
    more: fc.double({ min: 0.01, max: 1, noNaN: true }),
  })
  .map(({ drum, gap, more }) => ({ drum, distance: 2 * drum + gap, radius: gap / 2 + more }));
const distance = (a: Point, b: Point): number => Math.hypot(a[0] - b[0], a[1] - b[1]);

describe('two drums', () => {
  test('roll touches both drums at the stated points', () => {
    fc.assert(
      fc.property(geometry, ({ drum, distance: c, radius }) => {
        const { rollCentre, rear, front, top } = twoDrumContacts(c, radius, drum);
        for (const [point, centre] of [
          [rear, [-c / 2, 0]],
          [front, [c / 2, 0]],
        ] as const) {
          expect(distance(point, centre)).toBeCloseTo(drum, 10);
          expect(distance(point, rollCentre)).toBeCloseTo(radius, 10);
          expect(distance(centre, rollCentre)).toBeCloseTo(drum + radius, 10);
        }
        expect(distance(top, rollCentre)).toBeCloseTo(radius, 10);
      }),
    );
  });

  test('three equal circles: half angle of 30 degrees, nips load/√3', () => {
    // c = 2·Rd and R = Rd: three equal circles that touch, an equilateral triangle.
    const angle = twoDrumAngle(0.5, 0.25, 0.25);
    expect(angle).toBeCloseTo(Math.PI / 6, 12);
    expect(twoDrumNip(1000, 200, angle)).toBeCloseTo(1200 / Math.sqrt(3), 9);
    // US twin: 10 in drums that touch, 10 in roll, 6 lb/in
    const inches = twoDrumAngle(toSI(10, 'length', 'in'), toSI(5, 'length', 'in'), toSI(5, 'length', 'in'));
    const nip = twoDrumNip(toSI(5, 'tensionPerWidth', 'pli'), toSI(1, 'tensionPerWidth', 'pli'), inches);
    expect(fromSI(nip, 'tensionPerWidth', 'pli')).toBeCloseTo(6 / Math.sqrt(3), 12);
  });

  test('forces on the roll balance, drums driving or not', () => {
    fc.assert(
      fc.property(
        geometry,
        fc.double({ min: 0, max: 1e4, noNaN: true }),
        fc.double({ min: 0, max: 3000, noNaN: true }),
        fc.double({ min: -500, max: 500, noNaN: true }),
        fc.double({ min: -500, max: 500, noNaN: true }),
        ({ drum, distance: c, radius }, weight, rider, front, rear) => {
          const { rollCentre, rear: at1, front: at2 } = twoDrumContacts(c, radius, drum);
          const nip = twoDrumNip(weight, rider, twoDrumAngle(c, radius, drum), front);
          // Sum over the roll as a free body cut at the rear nip: normals, forces of the drums along the surface, the web that pulls
          // back at the rear nip with the sum of the drum forces, weight and rider.
          const sum = [0, -weight - rider];
          for (const [point, along] of [
            [at1, rear - (rear + front)],
            [at2, front],
          ] as const) {
            const normal = [(rollCentre[0] - point[0]) / radius, (rollCentre[1] - point[1]) / radius];
            // the surface at the bottom of the roll runs towards the front drum
            const forward = [normal[1], -normal[0]];
            sum[0] += nip * normal[0] + along * forward[0];
            sum[1] += nip * normal[1] + along * forward[1];
          }
          const scale = weight + rider + Math.abs(nip) + Math.abs(front) + 1;
          expect(Math.abs(sum[0]) / scale).toBeLessThan(1e-11);
          expect(Math.abs(sum[1]) / scale).toBeLessThan(1e-11);
        },
      ),
    );
  });

  test('nips of the same load fall as the roll grows towards half the load', () => {
    const nip = (radius: number): number => twoDrumNip(0, 2000, twoDrumAngle(0.62, radius, 0.3));
    const radii = [0.02, 0.05, 0.1, 0.3, 0.6, 1];
    for (let k = 1; k < radii.length; k++) expect(nip(radii[k])).toBeLessThan(nip(radii[k - 1]));
    expect(nip(1e4)).toBeCloseTo(1000, 3);
  });

  test.each([
    [0.62, 0.009, 0.3, /falls|does not lie/],
    [0.5, 0.2, 0.3, /does not lie/],
    [0.62, -0.1, 0.3, /-0.1/],
    [0.62, Number.NaN, 0.3, /NaN/],
  ])('refuses drums %d m apart with a roll of %d m and drums of %d m', (c, radius, drum, message) => {
    expect(() => twoDrumAngle(c, radius, drum)).toThrowError(message);
  });
});

test('two drums at rest carry the weight: each holds its part along its line of centres', () => {
  const angle = twoDrumAngle(0.7, 0.4, 0.3);
  const nip = twoDrumNip(900, 0, angle);
  expect(2 * nip * Math.cos(angle)).toBeCloseTo(900, 9);
});
