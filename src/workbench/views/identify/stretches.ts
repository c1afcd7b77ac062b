import type { Segment } from '../../../engine/identify/identification.js';
import { kindWords } from '../../../engine/report/commissioning/words.js';
import type { TrendStretch } from '../../components/trend/stretches.js';

/** What a stretch is called while a result is shown: its place in the list. */
export const segmentId = (index: number): string => `s${index}`;
export const segmentOf = (segments: readonly Segment[], id: string): Segment | undefined =>
  segments[Number(id.slice(1))];

/** The stretches of a result on the trend, each with its reason. */
export const trendStretches = (segments: readonly Segment[]): TrendStretch[] =>
  segments.map((s, k) => {
    const { letter, label } = kindWords[s.kind];
    return {
      id: segmentId(k),
      from: s.from,
      to: s.to,
      tone: s.kind,
      isHatched: !s.used,
      // a figure would be read as part of the name
      letter: s.kind === 'rest' ? '–' : letter,
      title: `${label}, ${s.from.toFixed(2)} s to ${s.to.toFixed(2)} s, ${s.used ? 'used' : 'left out'}: ${s.why}`,
    };
  });

/** Can a click change what the fit does with a stretch? Missing samples and rests hold nothing to take. */
export const isTakeable = (s: Segment): boolean =>
  s.kind !== 'rest' && s.kind !== 'breakaway' && s.why !== 'samples are missing';

/** Index of the stretch in which a time lies. */
export const segmentAt = (segments: readonly Segment[], time: number): number =>
  segments.findIndex((s) => time >= s.from && time <= s.to);
