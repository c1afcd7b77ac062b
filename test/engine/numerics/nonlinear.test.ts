import { existsSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { levenbergMarquardt } from '../../../src/engine/numerics/index.js';
import { digits, readNist } from './nist.js';

// NIST StRD non-linear sets: local data beside the repository, not carried by it.
const folder = new URL('../../../../shared/data/nist/nonlinear/', import.meta.url);
const { exp, cos, sin, atan, PI } = Math;

type Model = (b: Float64Array, x: number, x2: number) => number;
const misra1a: Model = ([b1, b2], x) => b1 * (1 - exp(-b2 * x));
const chwirut: Model = ([b1, b2, b3], x) => exp(-b1 * x) / (b2 + b3 * x);
const gauss: Model = ([b1, b2, b3, b4, b5, b6, b7, b8], x) =>
  b1 * exp(-b2 * x) + b3 * exp(-((x - b4) ** 2) / b5 ** 2) + b6 * exp(-((x - b7) ** 2) / b8 ** 2);
const lanczos: Model = ([b1, b2, b3, b4, b5, b6], x) =>
  b1 * exp(-b2 * x) + b3 * exp(-b4 * x) + b5 * exp(-b6 * x);
const cubicRatio: Model = ([b1, b2, b3, b4, b5, b6, b7], x) =>
  (b1 + x * (b2 + x * (b3 + x * b4))) / (1 + x * (b5 + x * (b6 + x * b7)));

/** The models as printed in the files. */
const models: Record<string, Model> = {
  Bennett5: ([b1, b2, b3], x) => b1 * (b2 + x) ** (-1 / b3),
  BoxBOD: misra1a,
  Chwirut1: chwirut,
  Chwirut2: chwirut,
  DanWood: ([b1, b2], x) => b1 * x ** b2,
  ENSO: ([b1, b2, b3, b4, b5, b6, b7, b8, b9], x) =>
    b1 +
    b2 * cos((2 * PI * x) / 12) +
    b3 * sin((2 * PI * x) / 12) +
    b5 * cos((2 * PI * x) / b4) +
    b6 * sin((2 * PI * x) / b4) +
    b8 * cos((2 * PI * x) / b7) +
    b9 * sin((2 * PI * x) / b7),
  Eckerle4: ([b1, b2, b3], x) => (b1 / b2) * exp(-0.5 * ((x - b3) / b2) ** 2),
  Gauss1: gauss,
  Gauss2: gauss,
  Gauss3: gauss,
  Hahn1: cubicRatio,
  Kirby2: ([b1, b2, b3, b4, b5], x) => (b1 + x * (b2 + x * b3)) / (1 + x * (b4 + x * b5)),
  Lanczos1: lanczos,
  Lanczos2: lanczos,
  Lanczos3: lanczos,
  MGH09: ([b1, b2, b3, b4], x) => (b1 * (x * x + x * b2)) / (x * x + x * b3 + b4),
  MGH10: ([b1, b2, b3], x) => b1 * exp(b2 / (x + b3)),
  MGH17: ([b1, b2, b3, b4, b5], x) => b1 + b2 * exp(-x * b4) + b3 * exp(-x * b5),
  Misra1a: misra1a,
  Misra1b: ([b1, b2], x) => b1 * (1 - (1 + (b2 * x) / 2) ** -2),
  Misra1c: ([b1, b2], x) => b1 * (1 - (1 + 2 * b2 * x) ** -0.5),
  Misra1d: ([b1, b2], x) => (b1 * b2 * x) / (1 + b2 * x),
  Nelson: ([b1, b2, b3], x1, x2) => b1 - b2 * x1 * exp(-b3 * x2),
  Rat42: ([b1, b2, b3], x) => b1 / (1 + exp(b2 - b3 * x)),
  Rat43: ([b1, b2, b3, b4], x) => b1 / (1 + exp(b2 - b3 * x)) ** (1 / b4),
  Roszman1: ([b1, b2, b3, b4], x) => b1 - b2 * x - atan(b3 / (x - b4)) / PI,
  Thurber: cubicRatio,
};

const present = existsSync(folder);
const title = `Levenberg-Marquardt, NIST StRD${present ? '' : ' (skipped: recording not present)'}`;

describe.skipIf(!present)(title, () => {
  for (const name of Object.keys(models))
    for (const start of [0, 1])
      test(`${name} from start ${start + 1}`, () => {
        const set = readNist(folder, name);
        expect(set.certified.length).toBe(set.starts[start].length);
        const y = set.rows.map((row) => (name === 'Nelson' ? Math.log(row[0]) : row[0]));
        const fit = levenbergMarquardt({
          n: y.length,
          start: set.starts[start],
          residuals(b, out) {
            for (let i = 0; i < y.length; i++)
              out[i] = y[i] - models[name](b, set.rows[i][1], set.rows[i][2]);
          },
        });
        const variance = fit.rss / (y.length - set.certified.length);
        const p = set.certified.length;
        const value = Math.min(...set.certified.map((c, j) => digits(fit.parameters[j], c.value)));
        const deviation = Math.min(
          ...set.certified.map((c, j) =>
            digits(Math.sqrt(variance * fit.unscaledCovariance[j * p + j]), c.deviation),
          ),
        );
        if (start === 0 && name === 'BoxBOD') {
          // Runs out on the plateau exp(-b2·x) = 0, where b2 has no influence left. That is no estimate, and it is said:
          expect(fit.rank).toBe(1);
          expect(fit.unscaledCovariance[3]).toBeNaN();
          return;
        }
        if (start === 0 && name === 'MGH10') {
          // A curved valley, 1000 steps do not reach its end; not converged is said too.
          expect(fit.converged).toBe(false);
          return;
        }
        expect(fit.converged).toBe(true);
        expect(value, 'digits of the parameters').toBeGreaterThan(7.5);
        if (name === 'Lanczos1') return; // its certified residual sum of 1e-25 is rounding of its 14-digit data
        // Central differences carry about ten digits, of which the condition of the set takes its share.
        expect(deviation, 'digits of the standard deviations').toBeGreaterThan(6.9);
        expect(digits(fit.rss, set.rss), 'digits of the residual sum of squares').toBeGreaterThan(9.9);
      });
});
