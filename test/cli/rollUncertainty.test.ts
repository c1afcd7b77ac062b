import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { isTautlineError } from '../../src/engine/errors.js';
import { rollBand } from '../../src/engine/program/roll/rollBand.js';
import type { RollResultDocument } from '../../src/engine/project/roll/rollResultDocument.js';
import type { StackTestDocument } from '../../src/engine/project/roll/stackTestDocument.js';
import { spreadWords } from '../../src/engine/report/roll/spreadWords.js';
import { parseRoll } from '../../src/node/lineFolder/readRoll.js';
import { buildProgram, tautline } from '../support/cli.js';

const demo = resolve(import.meta.dirname, '../../demo');
const demoTest = join(demo, 'stack-tests/coated-paper-80.csv');
let folder: string;
beforeAll(() => {
  buildProgram();
  folder = mkdtempSync(join(tmpdir(), 'tautline-uncertainty-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const paper = (stack: string, uncertainty = ''): string => `schema: tautline/roll@1
web:  { width_m: 1.6, caliper_um: 100, modulus_GPa: 5, poisson: 0.01, density_kgm3: 800, friction: 0.3,
        ${stack} }
core: { outer_diameter_m: 0.1, stiffness_Pa: 1e10 }
wind: { laps: 300, tension: { law: constant, start_N_per_m: 200 }, nip_N_per_m: 0, method: centre }
${uncertainty}
`;
const exponential = 'stack: { law: exponential, K1_Pa: 8000, K2: 40 }';
const tested = (more: Record<string, string> = {}): string => {
  const {
    law = 'exponential',
    k1 = '{ name: K1_Pa, interval95: [7500, 8500] }',
    k2 = '{ name: K2, interval95: [39, 41] }',
    correlation = '[[1, -0.9], [-0.9, 1]]',
  } = more;
  return `uncertainty: { stack: { law: ${law}, parameters: [${k1}, ${k2}], correlation: ${correlation} } }`;
};

describe('the uncertainty of a roll’s web', () => {
  it('comes from the stack test as it is printed, as JSON and as text, into the band', () => {
    const { out } = tautline(['stack-test', demoTest, '--sheets', '100', '--json']);
    const { stack, uncertainty } = JSON.parse(out) as StackTestDocument;
    const pasted = paper(
      `stack: ${JSON.stringify(stack)}`,
      `uncertainty: ${JSON.stringify({ ...uncertainty, friction_share: 0.15 })}`,
    );
    const path = join(folder, 'json.yaml');
    writeFileSync(path, pasted);
    const run = tautline(['roll', path, '--band', '20', '--json']);
    expect(run.code).toBe(0);
    const { band } = JSON.parse(run.out) as RollResultDocument;
    expect(band?.spread).toEqual({
      modulus: { halfWidth: 0.1, provenance: 'usual' },
      friction: { halfWidth: 0.15, provenance: 'stated' },
      stack: { provenance: 'stack test', ...uncertainty?.stack },
    });

    const printed = tautline(['stack-test', demoTest, '--sheets', '100']).out;
    const line = (key: string): string => new RegExp(`^ {2}(${key}: .*)$`, 'm').exec(printed)?.[1] as string;
    const read = parseRoll(paper(line('stack'), line('uncertainty')), 'roll.yaml').input;
    expect(read.uncertainty).toEqual({
      stack: parseRoll(pasted, 'roll.yaml').input.uncertainty?.stack,
    });

    const text = tautline(['roll', path, '--band', '20']).out;
    expect(text).toMatch(
      /20 rolls, drawn by the stack test \(K1 ± 3\.8 %, K2 ± 0\.91 %, correlation −0\.92\), by what is stated \(friction ± 15 %\), by usual values, not measured \(modulus ± 10 %\)/,
    );
  });

  it('is what the demonstration roll states, from the demonstration stack test', () => {
    const { out } = tautline(['stack-test', demoTest, '--sheets', '100', '--json']);
    const { uncertainty } = JSON.parse(out) as StackTestDocument;
    const text = readFileSync(join(demo, 'rolls/coated-paper-80.yaml'), 'utf8');
    const { document } = parseRoll(text, 'roll.yaml');
    expect(document.uncertainty?.stack).toEqual(uncertainty?.stack);
  });

  it('may be shares, each of which may be left out', () => {
    const of = (text: string) => parseRoll(paper(exponential, text), 'roll.yaml').input;
    expect(of('').uncertainty).toBeUndefined();
    expect(of('uncertainty: { modulus_share: 0.05, stack: { slope_share: 0.2 } }').uncertainty).toEqual({
      modulus: 0.05,
      stack: { slope: 0.2 },
    });
    const none = of(
      'uncertainty: { modulus_share: 0, friction_share: 0, stack: { pressure_share: 0, slope_share: 0 } }',
    );
    const { pressure, spread } = rollBand(none, { rolls: 5 });
    expect(pressure.high).toEqual(pressure.low);
    expect(spreadWords(spread)).toBe(
      'by what is stated (modulus ± 0 %, pressures of the stack law ± 0 %, slope of the stack law ± 0 %, friction ± 0 %)',
    );
  });

  it('takes every law that a stack test gives', () => {
    const of = (stack: string, law: string, parameters: string, correlation: string) =>
      parseRoll(
        paper(
          `stack: { ${stack} }`,
          `uncertainty: { stack: { law: ${law}, parameters: [${parameters}], correlation: ${correlation} } }`,
        ),
        'roll.yaml',
      ).input;
    const three = '[[1, 0.5, 0.2], [0.5, 1, -0.1], [0.2, -0.1, 1]]';
    for (const input of [
      of(
        'law: constant, modulus_Pa: 4e6',
        'constant',
        '{ name: modulus_Pa, interval95: [3.5e6, 4.5e6] }',
        '[[1]]',
      ),
      of(
        'law: saturating, modulus_at_rest_Pa: 3e5, highest_modulus_Pa: 1.03e7, saturation_pressure_Pa: 2e5',
        'saturating',
        '{ name: modulus_at_rest_Pa, interval95: [2.8e5, 3.2e5] }, { name: rise_Pa, interval95: [0.9e7, 1.1e7] }, { name: saturation_pressure_Pa, interval95: [1.8e5, 2.2e5] }',
        three,
      ),
      of(
        'law: polynomial, coefficients: [3e5, 40, -1e-6], tested_to_Pa: 5e5',
        'polynomial',
        '{ name: c0_Pa, interval95: [2.9e5, 3.1e5] }, { name: c1, interval95: [39, 41] }, { name: c2_per_Pa, interval95: [-6e-6, 4e-6] }',
        three,
      ),
    ]) {
      const { pressure } = rollBand(input, { rolls: 30 });
      expect(pressure.low.slice(0, -1).every((p, k) => p > 0 && p < (pressure.high[k] as number))).toBe(true);
    }
  });

  it.each([
    [
      'correlations beyond 1',
      tested({ correlation: '[[1, 1.2], [1.2, 1]]' }),
      'document_schema',
      'uncertainty.stack.correlation',
    ],
    [
      'correlations that are not possible together',
      tested({ correlation: '[[1, 1], [1, 1]]' }),
      'document_value',
      'uncertainty.stack.correlation',
    ],
    [
      'correlations that differ by their order',
      tested({ correlation: '[[1, 0.5], [0.4, 1]]' }),
      'document_value',
      'uncertainty.stack.correlation.1',
    ],
    [
      'a test of another law',
      tested({ law: 'constant' }),
      'document_value',
      'uncertainty.stack.parameters.0.name',
    ],
    [
      'a value outside its interval',
      tested({ k1: '{ name: K1_Pa, interval95: [7, 9] }' }),
      'document_value',
      'uncertainty.stack.parameters.0',
    ],
    [
      'parameters in another order',
      tested({ k2: '{ name: K1_Pa, interval95: [39, 41] }' }),
      'document_value',
      'uncertainty.stack.parameters.1.name',
    ],
    [
      'shares beside the stack test',
      tested().replace('law:', 'slope_share: 0.1, law:'),
      'document_value',
      'uncertainty.stack',
    ],
    [
      'half a stack test',
      'uncertainty: { stack: { law: exponential } }',
      'document_value',
      'uncertainty.stack',
    ],
    [
      'percent for a share',
      'uncertainty: { modulus_share: 30 }',
      'document_schema',
      'uncertainty.modulus_share',
    ],
  ])('is refused with its place for %s', (_name, uncertainty, code, key) => {
    let found: unknown;
    try {
      parseRoll(paper(exponential, uncertainty), 'roll.yaml');
    } catch (error) {
      found = error;
    }
    expect(isTautlineError(found) && found.code).toBe(code);
    const { where, next } = found as { where: { line: number; key: string }; next: string };
    expect(where.line).toBe(6);
    expect(where.key.startsWith(key)).toBe(true);
    expect(next.length).toBeGreaterThan(10);
  });
});
