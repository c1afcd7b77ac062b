import type { Finding } from '../../findings.js';
import type { FittedStackLaw, StackTestResult } from '../../roll/stackTest/stackTest.js';
import type { StackLaw } from '../../web/web.js';
import { plain, tidy } from '../plain.js';
import type { WebDocument } from '../product/productDocument.js';
import { parameterKeys, type TestedStackDocument, toTestedStack } from './uncertaintyDocument.js';

type StackDocument = NonNullable<WebDocument['stack']>;

interface LawDocument {
  readonly law: StackLaw['law'];
  readonly parameters: readonly {
    readonly name: string;
    readonly value: number;
    readonly interval95: readonly [number, number];
  }[];
  /** Between the parameters' logarithms (c2 itself), rows in their order. */
  readonly correlation: readonly (readonly number[])[];
  readonly residualRms: number;
  readonly residualLargest: number;
  /** Akaike's criterion less that of the best supported law. */
  readonly evidenceBehindBest: number;
}

/** `tautline/stack-test@1`: what `tautline stack-test` prints. */
export interface StackTestDocument {
  readonly schema: 'tautline/stack-test@1';
  readonly source: string;
  readonly verdict: 'fitted' | 'refused';
  readonly loadings: number;
  readonly lastLoading?: {
    readonly lowest_Pa: number;
    readonly highest_Pa: number;
    readonly strain: number;
    readonly samples: number;
    readonly independentSamples: number;
    readonly changeFromBefore?: number;
  };
  /** Best supported first. */
  readonly laws: readonly LawDocument[];
  /** To be put under `web` in a product or roll document. */
  readonly stack?: StackDocument;
  /** To be put at the top of a roll document. */
  readonly uncertainty?: { readonly stack: TestedStackDocument };
  readonly caliperAtRest_m?: { readonly value: number; readonly interval95: readonly [number, number] };
  readonly findings: readonly Finding[];
}

const six = (x: number): number => Number(x.toPrecision(6));

/** A stack law as documents state it, in six digits. */
export function toStackDocument({ testedTo, ...law }: StackLaw): StackDocument {
  const tested = testedTo === undefined ? {} : { tested_to_Pa: six(testedTo) };
  switch (law.law) {
    case 'exponential':
      return { law: 'exponential', K1_Pa: six(law.k1), K2: six(law.k2), ...tested };
    case 'constant':
      return { law: 'constant', modulus_Pa: six(law.modulus), ...tested };
    case 'polynomial':
      return { law: 'polynomial', coefficients: law.coefficients.map(six), ...tested };
    case 'saturating':
      return {
        law: 'saturating',
        modulus_at_rest_Pa: six(law.atRest),
        highest_modulus_Pa: six(law.highest),
        saturation_pressure_Pa: six(law.scale),
        ...tested,
      };
  }
}

/** What a fitted law says of its uncertainty, as a roll document states it. */
export const toUncertaintyDocument = ({
  law,
  parameters,
  correlation,
}: FittedStackLaw): { readonly stack: TestedStackDocument } => ({
  stack: toTestedStack({ law: law.law, interval95: parameters.map((p) => p.interval95), correlation }),
});

/** A fitted stack test as a document. */
export function toStackTestDocument(
  source: string,
  result: StackTestResult,
  findings: readonly Finding[] = result.findings,
): StackTestDocument {
  const best = result.fits[0]?.evidence ?? 0;
  const pair = ([low, high]: readonly [number, number]): [number, number] => [tidy(low), tidy(high)];
  const law = (fit: FittedStackLaw): LawDocument => ({
    law: fit.law.law,
    parameters: fit.parameters.map((p) => ({
      name: parameterKeys[p.name] ?? p.name,
      value: tidy(p.value),
      interval95: pair(p.interval95),
    })),
    correlation: fit.correlation.map((row) => row.map(tidy)),
    residualRms: tidy(fit.residualRms),
    residualLargest: tidy(fit.residualLargest),
    evidenceBehindBest: tidy(fit.evidence - best),
  });
  const { used, chosen, caliperAtRest, cycleChange } = result;
  return plain({
    schema: 'tautline/stack-test@1',
    source,
    verdict: chosen === undefined ? 'refused' : 'fitted',
    loadings: result.loadings,
    ...(used && {
      lastLoading: {
        lowest_Pa: tidy(used.lowest),
        highest_Pa: tidy(used.highest),
        strain: tidy(used.strain),
        samples: used.samples,
        independentSamples: Math.round(used.independent),
        ...(cycleChange !== undefined && { changeFromBefore: tidy(cycleChange) }),
      },
    }),
    laws: result.fits.map(law),
    ...(chosen && {
      stack: toStackDocument(chosen.law),
      uncertainty: toUncertaintyDocument(chosen),
    }),
    ...(caliperAtRest && {
      caliperAtRest_m: { value: tidy(caliperAtRest.value), interval95: pair(caliperAtRest.interval95) },
    }),
    findings,
  });
}
