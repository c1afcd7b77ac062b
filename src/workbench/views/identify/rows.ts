import type {
  Estimate,
  Estimates,
  Identification,
  ParameterName,
  SegmentKind,
} from '../../../engine/identify/identification.js';
import { parameterNames } from '../../../engine/identify/identification.js';
import { parameterQuantity } from '../../../engine/identify/parameterQuantity.js';
import type { TestName } from '../../../engine/project/board/boardDocument.js';
import { kindWords, parameterWords } from '../../../engine/report/commissioning/words.js';
import type { Format } from '../../../engine/report/format.js';

/** A number that the recording gave, in words: value and ends of its interval to the digits that it allows. */
export interface ResultRow {
  readonly name: ParameterName;
  readonly words: string;
  readonly value: string;
  readonly halfWidth: string;
  readonly interval: string;
  readonly unit: string;
  /** What of the recording it rests on. */
  readonly source: string;
}

/** What a parameter is called where a heading says that all stand at the motor shaft. */
export const shortWords = (name: ParameterName): string =>
  parameterWords[name].replace(' at the motor shaft', '');

const halfOf = ({ interval95: [low, high] }: Estimate): number => 0.5 * (high - low);

/** The estimates of a direction as rows. @param local writes a number as the person does */
export function resultRows(
  estimates: Estimates,
  identification: Identification,
  direction: 1 | -1 | 0,
  format: Format,
  local: (text: string) => string,
): ResultRow[] {
  return parameterNames.flatMap((name) => {
    const e = estimates[name];
    if (e === undefined) return [];
    const half = halfOf(e);
    const { texts, unit } = format.row(parameterQuantity[name], [e.value, half, ...e.interval95], half);
    const [value = '', halfWidth = '', low = '', high = ''] = texts.map(local);
    return [
      {
        name,
        words: shortWords(name),
        value,
        halfWidth,
        interval: `${low} to ${high}`,
        unit,
        source: sourceWords(name, identification, direction),
      },
    ];
  });
}

const kindsBehind: Readonly<Record<Exclude<ParameterName, 'breakaway'>, readonly SegmentKind[]>> = {
  inertia: ['ramp', 'plateau', 'coast'],
  coulomb: ['plateau', 'ramp', 'coast'],
  viscous: ['plateau', 'ramp', 'coast'],
  quadratic: ['plateau', 'ramp', 'coast'],
  stribeck: ['plateau', 'ramp'],
  stribeckSpeed: ['plateau', 'ramp'],
  offset: ['plateau', 'ramp', 'coast'],
};

/** What of a recording a number rests on: so many stretches of each kind, or starts of motion. */
export function sourceWords(
  name: ParameterName,
  { segments, breakawayEvents }: Pick<Identification, 'segments' | 'breakawayEvents'>,
  direction: 1 | -1 | 0,
): string {
  if (name === 'breakaway') {
    const n = breakawayEvents.filter((e) => direction === 0 || e.direction === direction).length;
    return counted(n, 'start of motion', 'starts of motion');
  }
  return kindsBehind[name]
    .flatMap((kind) => {
      const n = segments.filter((s) => s.used && s.kind === kind).length;
      return n === 0 ? [] : [counted(n, kindWords[kind].label, `${kindWords[kind].label}s`)];
    })
    .join(', ');
}

const counted = (n: number, one: string, many: string): string => `${n} ${n === 1 ? one : many}`;

/** The test that gives a number which a recording could not. */
export const testFor: Readonly<Record<ParameterName, TestName>> = {
  inertia: 'ramps',
  coulomb: 'staircase',
  viscous: 'staircase',
  quadratic: 'staircase',
  stribeck: 'staircase',
  stribeckSpeed: 'staircase',
  breakaway: 'breakaway',
  offset: 'coast-down',
};

/** Seconds at the fit's stretches, and of them all. */
export function usedTime({ segments }: Pick<Identification, 'segments'>): { used: number; all: number } {
  const sum = (list: Identification['segments']): number => list.reduce((t, s) => t + s.to - s.from, 0);
  return { used: sum(segments.filter((s) => s.used)), all: sum(segments) };
}
