import { expect, test } from 'vitest';
import type { Identification } from '../../../src/engine/identify/identification.js';
import type { DriveDocument } from '../../../src/engine/project/drive.js';
import {
  estimateKeys,
  fromIdentificationDocument,
  toIdentificationDocument,
} from '../../../src/engine/project/identification.js';
import { plain } from '../../../src/engine/project/plain.js';
import { runPlant } from '../../support/plantRecording.js';
import { identification, winderIdentification } from '../../support/reportFixture.js';

const drive: DriveDocument = {
  schema: 'tautline/drive@1',
  name: 'invented helper',
  element: 'driven-idler',
  rated_torque_Nm: 15.5,
  gear_ratio: 2.5,
  roller_diameter_m: 0.178,
};

/** What a program that reads the file sees. */
const written = (id: Identification) => JSON.parse(JSON.stringify(toIdentificationDocument(id, drive)));

/** Every number, with its path, in a plain object. */
function numbers(value: unknown, path = ''): [string, unknown][] {
  if (typeof value !== 'object' || value === null) return [[path, value]];
  return Object.entries(value).flatMap(([k, v]) => numbers(v, `${path}/${k}`));
}

test('keys are those of the command line contract, with their units', () => {
  expect(Object.values(estimateKeys)).toEqual([
    'inertia_kgm2',
    'coulomb_Nm',
    'viscous_Nms',
    'quadratic_Nms2',
    'stribeck_Nm',
    'stribeckSpeed_rad_per_s',
    'breakaway_Nm',
    'offset_Nm',
  ]);
  const document = written(identification);
  expect(document.schema).toBe('tautline/identification@1');
  expect(Object.keys(document.estimates.inertia_kgm2)).toEqual(['value', 'standardError', 'interval95']);
  expect(Object.keys(document.segments[0])).toEqual(['kind', 'from_s', 'to_s', 'why', 'used']);
  expect(Object.keys(document.dragCurve[0])).toEqual([
    'speed_rad_per_s',
    'torque_Nm',
    'halfWidth95_Nm',
    'from',
  ]);
  expect(document.drive.gear_ratio).toBe(2.5);
});

test.each([
  ['one direction', identification],
  ['both directions and a growing roll', winderIdentification],
])('the document says what the identification says and can be read back: %s', (_, id) => {
  const back = fromIdentificationDocument(written(id));
  const { trace: _trace, ...stated } = id;
  const pairs = numbers(stated);
  const read = new Map(numbers(back));
  expect(pairs.length).toBeGreaterThan(50);
  for (const [path, value] of pairs) {
    if (typeof value === 'number')
      expect(Math.abs((read.get(path) as number) - value), path).toBeLessThanOrEqual(1e-9 * Math.abs(value));
    else expect(read.get(path), path).toEqual(value);
  }
});

test('a second pass changes nothing: rounding to ten digits is settled at once', () => {
  const { identification: id } = runPlant('full-test-both-directions', 3);
  const once = written(id);
  const twice = JSON.parse(JSON.stringify(toIdentificationDocument(fromIdentificationDocument(once), drive)));
  expect(twice).toEqual(once);
});

test('the exponent of the Stribeck decay is stated: without it the law would be another one', () => {
  expect(
    fromIdentificationDocument(written({ ...identification, stribeckExponent: 2 })).stribeckExponent,
  ).toBe(2);
  expect(written(identification)).not.toHaveProperty('stribeckExponent');
});

test('what is absent stays absent', () => {
  const document = written({ ...identification, estimates: {}, dragCurve: undefined, breakawayEvents: [] });
  expect(document.estimates).toEqual({});
  for (const key of [
    'dragCurve',
    'dragCurveReverse',
    'reverse',
    'symmetric',
    'breakawayEvents',
    'rollDensity_kgm3',
  ])
    expect(document).not.toHaveProperty(key);
});

test('an estimate with an unbounded uncertainty becomes a number that is not estimated', () => {
  const inertia = { value: 0.02, standardError: Infinity, interval95: [-Infinity, Infinity] as const };
  const document = written({
    ...identification,
    estimates: { ...identification.estimates, inertia },
    covariance: { names: ['inertia'], matrix: [[Infinity]] },
  });
  expect(document.estimates).not.toHaveProperty('inertia_kgm2');
  expect(document).not.toHaveProperty('covariance');
  expect(document.notEstimated.map((n: { name: string }) => n.name)).toContain('inertia_kgm2');
});

test('a drag point that is not finite is left out', () => {
  const dragCurve = [
    { speed: 10, torque: Number.NaN, halfWidth95: 0.1, from: 'fit' as const },
    { speed: 20, torque: 0.7, halfWidth95: 0.1, from: 'fit' as const },
  ];
  expect(
    written({ ...identification, dragCurve }).dragCurve.map(
      (p: { speed_rad_per_s: number }) => p.speed_rad_per_s,
    ),
  ).toEqual([20]);
});

test('any other number that is not finite is a defect and is named', () => {
  const residual = { rms: Number.NaN, autocorrelationTime: 0.1 };
  expect(() => toIdentificationDocument({ ...identification, residual }, drive)).toThrowError(
    expect.objectContaining({ code: 'internal', where: { key: 'residual.rms_Nm', value: 'NaN' } }),
  );
  expect(() => plain({ a: [1, { b: -Infinity }] })).toThrowError(
    expect.objectContaining({ code: 'internal' }),
  );
});
