import type { PlayedKind } from '../../../engine/feedforward/playTypes.js';
import type {
  PlayedDocument,
  PlayedStretchDocument,
  RangesDocument,
} from '../../../engine/project/feedforwardPlay.js';
import type { Figure, Span, SpanTone } from '../../../engine/report/svg/figure.js';
import type { Units } from '../../state/units.js';

export const kindWords: Readonly<Record<PlayedKind, string>> = {
  start: 'start',
  ramp: 'change of speed',
  running: 'running',
  coast: 'drive off',
};

const looks: Readonly<Record<PlayedKind, { tone: SpanTone; letter: string }>> = {
  start: { tone: 'breakaway', letter: 'S' },
  ramp: { tone: 'ramp', letter: 'C' },
  running: { tone: 'plateau', letter: 'R' },
  coast: { tone: 'coast', letter: 'O' },
};

/** Torques at the motor as what is shown: web force where there is a roller diameter, else the torque itself. */
export interface PlayedUnit {
  readonly label: string;
  readonly unit: string;
  value(torque: number): number;
  number(torque: number): string;
}

export function playedUnit(units: Units, perTorque: number | undefined): PlayedUnit {
  const key = perTorque === undefined ? 'torque' : 'tension';
  const scale = perTorque ?? 1;
  return {
    label: perTorque === undefined ? 'Torque that the web would have to give, T' : 'Force on the web, F',
    unit: units.unit(key).label,
    value: (torque) => units.value(key, torque * scale),
    number: (torque) => units.number(key, torque * scale),
  };
}

/** Each bucket as its least and its greatest value, one above the other: whatever stands between them, no peak is lost. */
function zigzag(
  time: readonly number[],
  { min, max }: RangesDocument,
  value: (v: number) => number,
): { x: number[]; y: number[] } {
  const x: number[] = [];
  const y: number[] = [];
  for (const [b, t] of time.entries()) {
    const [low, high] = [min[b] ?? Number.NaN, max[b] ?? Number.NaN];
    if (low === high) {
      x.push(t);
      y.push(value(low));
    } else {
      x.push(t, t);
      y.push(value(low), value(high));
    }
  }
  return { x, y };
}

/** What the web would have felt over time, without (dashed) and with the feed-forward, above the speed. */
export function playFigure(played: PlayedDocument, units: Units): Figure | undefined {
  const { trace, stretches } = played;
  const [first, last] = [trace?.time_s[0], trace?.time_s.at(-1)];
  if (trace === undefined || first === undefined || last === undefined) return undefined;
  const unit = playedUnit(units, played.forcePerTorque_per_m);
  const line = (ranges: RangesDocument, value: (v: number) => number): { x: number[]; y: number[] } =>
    zigzag(trace.time_s, ranges, value);
  return {
    id: 'feedforward-play',
    title: 'What the web would have felt',
    description:
      'Force on the web over time without the feed-forward, dashed, and with it, solid; below, the speed.',
    width: 1200,
    x: { label: 'Time, t [s]' },
    spans: stretches.flatMap((s) => spanOf(s, unit, first, last)),
    panels: [
      {
        y: { label: `${unit.label} [${unit.unit}]`, include: [0] },
        height: 190,
        marks: [
          {
            kind: 'line',
            meaning: 'reference',
            signal: 'neutral',
            ...line(trace.without_Nm, unit.value),
            label: 'without feed-forward',
          },
          {
            kind: 'line',
            meaning: 'model',
            signal: 'tension',
            ...line(trace.with_Nm, unit.value),
            label: 'with it',
          },
        ],
      },
      {
        y: { label: `Speed at motor, ω [${units.unit('angularSpeed').label}]`, include: [0] },
        height: 70,
        marks: [
          {
            kind: 'line',
            meaning: 'model',
            signal: 'speed',
            ...line(trace.speed_rad_per_s, (v) => units.value('angularSpeed', v)),
            label: 'speed',
          },
        ],
      },
    ],
  };
}

function spanOf(s: PlayedStretchDocument, unit: PlayedUnit, first: number, last: number): Span[] {
  const [from, to] = [Math.max(s.from_s, first), Math.min(s.to_s, last)];
  if (!(from < to)) return [];
  return [
    {
      from,
      to,
      ...looks[s.kind],
      isHatched: false,
      label: kindWords[s.kind],
      title: `${kindWords[s.kind]}: peak ${unit.number(s.without.peak_Nm)} without, ${unit.number(s.with.peak_Nm)} ${unit.unit} with`,
    },
  ];
}

/** The stretch at a time. */
export const stretchAt = (
  stretches: readonly PlayedStretchDocument[],
  time: number,
): PlayedStretchDocument | undefined => stretches.find((s) => s.from_s <= time && time <= s.to_s);

/** A stretch with air around it, inside the recording [s]. */
export function aroundStretch(
  { from_s, to_s }: PlayedStretchDocument,
  { from_s: first = from_s, to_s: last = to_s }: Pick<PlayedDocument, 'from_s' | 'to_s'>,
): { from: number; to: number } {
  const air = 0.25 * (to_s - from_s);
  return { from: Math.max(first, from_s - air), to: Math.min(last, to_s + air) };
}
