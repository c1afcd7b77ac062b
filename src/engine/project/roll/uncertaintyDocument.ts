import { TautlineError } from '../../errors.js';
import type { RollUncertainty } from '../../program/roll/rollInput.js';
import type { RollSpread, Share } from '../../program/roll/rollSpread.js';
import { stackParameters } from '../../roll/stackTest/stackParameters.js';
import { type StackSpread, stackSpreadProblem } from '../../roll/stackTest/stackSpread.js';
import type { StackLaw } from '../../web/web.js';
import type { JsonSchema } from '../jsonSchema.js';
import { object } from '../properties.js';

/** A stack law's uncertainty as its stack test states it. */
export interface TestedStackDocument {
  readonly law: StackLaw['law'];
  readonly parameters: readonly { readonly name: string; readonly interval95: readonly [number, number] }[];
  readonly correlation: readonly (readonly number[])[];
}

/** How uncertain a roll's web is, as a roll document states it. */
export interface UncertaintyDocument {
  readonly modulus_share?: number;
  readonly friction_share?: number;
  readonly stack?: Partial<TestedStackDocument> & {
    readonly pressure_share?: number;
    readonly slope_share?: number;
  };
}

/** Names of parameters with their units, as a document states them. */
export const parameterKeys: Readonly<Record<string, string>> = {
  modulus: 'modulus_Pa',
  k1: 'K1_Pa',
  k2: 'K2',
  atRest: 'modulus_at_rest_Pa',
  rise: 'rise_Pa',
  scale: 'saturation_pressure_Pa',
  c0: 'c0_Pa',
  c1: 'c1',
  c2: 'c2_per_Pa',
};

/** In the order in which they are fitted. */
export const parameterKeysOf = (law: StackLaw['law']): readonly string[] =>
  stackParameters(law).map((name) => parameterKeys[name] as string);

const share = (description: string): JsonSchema => ({
  type: 'number',
  minimum: 0,
  maximum: 1,
  description: `${description}: half width of the 95 % interval as a share of the value`,
});

export const uncertaintySchema: JsonSchema = object('how uncertain the web is; usual values where left out', {
  modulus_share: share('modulus along the web'),
  friction_share: share('friction'),
  stack: object(
    'the stack law: either the shares, or law, parameters and correlation as `tautline stack-test` prints them',
    {
      pressure_share: share('pressures of the stack law, such as K1'),
      slope_share: share('slope of the stack law, such as K2'),
      law: { enum: ['exponential', 'constant', 'polynomial', 'saturating'] },
      parameters: {
        type: 'array',
        minItems: 1,
        description: 'parameters with their 95 % intervals, in the order in which they are printed',
        items: object(
          'a parameter',
          {
            name: { enum: Object.values(parameterKeys), description: 'which one, with its unit' },
            interval95: {
              type: 'array',
              items: { type: 'number' },
              minItems: 2,
              maxItems: 2,
              description: 'lower and upper end of its 95 % interval',
            },
          },
          ['name', 'interval95'],
        ),
      },
      correlation: {
        type: 'array',
        minItems: 1,
        description: 'rows in the order of the parameters; of their logarithms, of c2 itself',
        items: { type: 'array', items: { type: 'number', minimum: -1, maximum: 1 } },
      },
    },
  ),
});

const problem = (pointer: string, message: string, next: string): TautlineError =>
  new TautlineError('document_value', { pointer: `uncertainty.stack${pointer}` }, message, next);

/** What a document states of its web's uncertainty. @throws TautlineError document_value with the pointer to its place */
export function toRollUncertainty(
  { modulus_share: modulus, friction_share: friction, stack }: UncertaintyDocument,
  law: StackLaw,
): RollUncertainty {
  return {
    ...(modulus !== undefined && { modulus }),
    ...(friction !== undefined && { friction }),
    ...(stack && { stack: toStackUncertainty(stack, law) }),
  };
}

function toStackUncertainty(
  {
    pressure_share: pressure,
    slope_share: slope,
    law: name,
    parameters,
    correlation,
  }: NonNullable<UncertaintyDocument['stack']>,
  law: StackLaw,
): NonNullable<RollUncertainty['stack']> {
  const paste = 'paste what `tautline stack-test` prints: law, parameters and correlation';
  if (name === undefined && parameters === undefined && correlation === undefined)
    return { ...(pressure !== undefined && { pressure }), ...(slope !== undefined && { slope }) };
  if (pressure !== undefined || slope !== undefined)
    throw problem('', 'the uncertainty of the stack law is stated twice', 'state shares or the stack test');
  if (name === undefined || parameters === undefined || correlation === undefined)
    throw problem('', 'the uncertainty of the stack law is stated in part', paste);
  const keys = parameterKeysOf(name);
  for (const [k, { name: stated }] of parameters.entries())
    if (stated !== keys[k])
      throw problem(
        `.parameters.${k}.name`,
        `${stated} stands where the ${name} law has ${keys[k] ?? 'nothing'}`,
        `state ${keys.join(', ')}, in this order`,
      );
  const spread: StackSpread = { law: name, interval95: parameters.map((p) => p.interval95), correlation };
  const wrong = stackSpreadProblem(law, spread, keys);
  if (wrong === undefined) return spread;
  const place = { law: '.law', interval95: '.parameters', correlation: '.correlation' }[wrong.part];
  throw problem(wrong.entry === undefined ? place : `${place}.${wrong.entry}`, wrong.message, wrong.next);
}

const eight = (x: number): number => Number(x.toPrecision(8));

/** A stack law's uncertainty, to be put under `uncertainty.stack` of a roll document; eight digits, so that strong correlations stay possible ones. */
export const toTestedStack = ({ law, interval95, correlation }: StackSpread): TestedStackDocument => ({
  law,
  parameters: parameterKeysOf(law).map((name, k) => {
    const [low, high] = interval95[k] as readonly [number, number];
    return { name, interval95: [eight(low), eight(high)] };
  }),
  correlation: correlation.map((row) => row.map(eight)),
});

interface ShareDocument {
  readonly halfWidth: number;
  readonly provenance: Share['provenance'];
}

/** What a band was drawn from, with where each part comes from; half widths of 95 % intervals as shares of the values. */
export interface SpreadDocument {
  readonly modulus: ShareDocument;
  readonly friction: ShareDocument;
  readonly stack:
    | { readonly pressure: ShareDocument; readonly slope: ShareDocument }
    | ({ readonly provenance: 'stack test' } & TestedStackDocument);
}

/** The spread of a band as a document. */
export function toSpreadDocument({ modulus, friction, stack }: RollSpread): SpreadDocument {
  const half = ({ share: halfWidth, provenance }: Share): ShareDocument => ({ halfWidth, provenance });
  return {
    modulus: half(modulus),
    friction: half(friction),
    stack:
      stack.by === 'stack test'
        ? { provenance: stack.by, ...toTestedStack(stack.test) }
        : { pressure: half(stack.pressure), slope: half(stack.slope) },
  };
}
