import type { RollSpread, Share } from '../../program/roll/rollSpread.js';
import { logarithmicParameters, stackParameters } from '../../roll/stackTest/stackParameters.js';
import type { StackSpread } from '../../roll/stackTest/stackSpread.js';
import { formatNumber } from '../../units/format.js';

const percent = (share: number): string => `± ${formatNumber(100 * share, 2)} %`;

/** Parameters as a person reads them; c2 of a polynomial is in SI. */
const labels: Readonly<Record<string, string>> = {
  k1: 'K1',
  k2: 'K2',
  atRest: 'modulus at rest',
  scale: 'saturation pressure',
};

/** By what a band was drawn, in words: what a stack test found, what is stated, what is usual and was not measured. Half widths are those of 95 %. */
export function spreadWords({ modulus, friction, stack }: RollSpread): string {
  const shares: [string, Share][] = [
    ['modulus', modulus],
    ...(stack.by === 'shares'
      ? ([
          ['pressures of the stack law', stack.pressure],
          ['slope of the stack law', stack.slope],
        ] satisfies [string, Share][])
      : []),
    ['friction', friction],
  ];
  const by = (provenance: Share['provenance'], words: string): string[] => {
    const own = shares.filter(([, s]) => s.provenance === provenance);
    if (own.length === 0) return [];
    return [`${words} (${own.map(([name, s]) => `${name} ${percent(s.share)}`).join(', ')})`];
  };
  return [
    ...(stack.by === 'stack test' ? [`by the stack test (${testWords(stack.test)})`] : []),
    ...by('stated', 'by what is stated'),
    ...by('usual', 'by usual values, not measured'),
  ].join(', ');
}

function testWords({ law, interval95, correlation }: StackSpread): string {
  const logarithmic = logarithmicParameters(law);
  const parameters = stackParameters(law).map((name, k) => {
    const [low, high] = interval95[k] as readonly [number, number];
    return `${labels[name] ?? name} ${logarithmic[k] ? percent(Math.sqrt(high / low) - 1) : `${formatNumber(low, 2)} to ${formatNumber(high, 2)}`}`;
  });
  const between = correlation.flatMap((row, i) => row.slice(0, i).map((r) => formatNumber(r, 2)));
  return [...parameters, ...(between.length === 0 ? [] : [`correlation ${between.join(', ')}`])].join(', ');
}
