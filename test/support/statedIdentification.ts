import type {
  DragPoint,
  Estimate,
  Estimates,
  Identification,
  ParameterName,
} from '../../src/engine/identify/identification.js';
import type { Drive } from '../../src/engine/line/drive.js';

/** An INVENTED drive. */
export const statedDrive: Drive = {
  name: 'INVENTED helper',
  element: 'driven-idler',
  ratedTorque: 10,
  gearRatio: 2.5,
  rollerRadius: 0.1,
  maxMotorSpeed: 150,
  torqueLimit: 1.5,
};

/** The normal factor of 95 %, printed in any table of the normal distribution to five digits. */
export const normal95 = 1.95996;

export const estimate = (value: number, standardError: number): Estimate => ({
  value,
  standardError,
  interval95: [value - normal95 * standardError, value + normal95 * standardError],
});

export type Stated = Partial<Record<ParameterName, readonly [value: number, standardError: number]>>;

/** Values and standard errors of an INVENTED roller in one run both ways. */
export const roller = {
  inertia: [0.02, 0.0001],
  coulomb: [0.6, 0.005],
  viscous: [0.003, 0.00005],
  quadratic: [1e-5, 2e-7],
  breakaway: [0.95, 0.02],
  offset: [0.01, 0.004],
} as const satisfies Stated;

const drags = ['inertia', 'coulomb', 'viscous', 'quadratic', 'stribeck', 'stribeckSpeed', 'offset'] as const;

/**
 * An identification made up from values, standard errors and correlations, with the covariance that belongs to them; no pipeline is
 * involved.
 */
export function stated(
  values: Stated,
  more: Partial<Identification> = {},
  correlation: (a: ParameterName, b: ParameterName) => number = () => 0,
): Identification {
  const names = drags.filter((n) => values[n] !== undefined);
  const error = (n: ParameterName): number => values[n]![1];
  return {
    driveName: statedDrive.name,
    verdict: 'identified',
    findings: [],
    channels: [],
    segments: [],
    estimates: statedEstimates(values),
    notEstimated: [],
    covariance: {
      names,
      matrix: names.map((a) => names.map((b) => error(a) * error(b) * (a === b ? 1 : correlation(a, b)))),
    },
    speedRange: [5, 150],
    breakawayEvents: [],
    inputs: { file: 'made-up.csv', sha256: '0'.repeat(64), rows: 1 },
    ...more,
  };
}

export const statedEstimates = (values: Stated): Estimates =>
  Object.fromEntries(Object.entries(values).map(([n, [value, error]]) => [n, estimate(value, error)]));

/** Fitted points of a curve with one half width everywhere. */
export const fitPoints = (
  drag: (speed: number) => number,
  halfWidth95: number,
  range: readonly [number, number] = [5, 150],
): DragPoint[] =>
  Array.from({ length: 24 }, (_, k) => {
    const speed = range[0] + (k / 23) * (range[1] - range[0]);
    return { speed, torque: drag(speed), halfWidth95, from: 'fit' };
  });
