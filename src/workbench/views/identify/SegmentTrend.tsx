import { type ReactNode, useMemo, useState } from 'react';
import type { Segment } from '../../../engine/identify/identification.js';
import type { IdentificationDocument } from '../../../engine/project/identification.js';
import { kindWords } from '../../../engine/report/commissioning/words.js';
import type { TimeWindow } from '../../components/trend/held.js';
import { Trend } from '../../components/trend/Trend.js';
import { useTrendAddress } from '../../components/trend/useTrendAddress.js';
import { isTakeable, segmentOf, trendStretches } from './stretches.js';
import { marked, type Takes, toggled } from './takes.js';

interface Props {
  readonly recording: string;
  readonly segments: readonly Segment[];
  readonly channels: IdentificationDocument['channels'];
  readonly takes: Takes;
  /** With the web on there is nothing to take out or in. */
  readonly isFixed: boolean;
  readonly lit: string | undefined;
  readonly onLight: (id: string | undefined) => void;
  readonly onTakes: (takes: Takes, words: string) => void;
}

const place = ({ from, to }: TimeWindow): string => `${from.toFixed(2)} s to ${to.toFixed(2)} s`;

/** The recording with what each stretch was taken for; a click takes it out of the fit or in. */
export function SegmentTrend(props: Props): ReactNode {
  const { recording, segments, channels, takes, isFixed, lit, onLight, onTakes } = props;
  const [window, setWindow] = useTrendAddress();
  const [range, setRange] = useState<TimeWindow>();
  const stretches = useMemo(() => trendStretches(segments), [segments]);
  const delays = useMemo(
    () => Object.fromEntries(channels.filter((c) => c.delay_s !== 0).map((c) => [c.role, c.delay_s])),
    [channels],
  );
  // whether the drive was on shows in the stretches
  const shownChannels = useMemo(
    () => channels.map((c) => c.role).filter((role) => role !== 'time' && role !== 'drive-enabled'),
    [channels],
  );
  const pick = (id: string): void => {
    const s = segmentOf(segments, id);
    if (isFixed || s === undefined || !isTakeable(s)) return;
    onTakes(
      toggled(takes, s),
      `${kindWords[s.kind].label} at ${s.from.toFixed(1)} s ${s.used ? 'taken out' : 'taken in'}`,
    );
  };
  const take = (way: 'out' | 'in'): void => {
    if (range === undefined) return;
    onTakes(marked(takes, [range.from, range.to], way), `${place(range)} taken ${way}`);
    setRange(undefined);
  };
  const shown = lit === undefined ? undefined : segmentOf(segments, lit);
  return (
    <section className="segments" aria-label="Stretches of the recording">
      <Trend
        recording={recording}
        {...(shownChannels.length > 0 && { channels: shownChannels })}
        window={window}
        onWindow={setWindow}
        stretches={stretches}
        delays={delays}
        lit={lit}
        onLight={onLight}
        onPick={pick}
        {...(!isFixed && { onMark: setRange, markWords: 'Mark a stretch to take out or in' })}
        laneHeight={110}
      />
      {range ? (
        <p className="row">
          {place(range)} marked:
          <button type="button" onClick={() => take('out')}>
            Take it out
          </button>
          <button type="button" onClick={() => take('in')}>
            Take it in
          </button>
          <button type="button" className="quiet" onClick={() => setRange(undefined)}>
            Leave it
          </button>
        </p>
      ) : (
        <p className="why" aria-live="polite">
          {shown ? (
            <>
              <strong>{kindWords[shown.kind].label}</strong> {place(shown)},{' '}
              {shown.used ? 'used' : 'left out'}: {shown.why}
              {!isFixed && isTakeable(shown) && (
                <span className="soft"> · click to take it {shown.used ? 'out' : 'in'}</span>
              )}
            </>
          ) : (
            <span className="soft">
              {isFixed
                ? 'Recorded with the web on: the fit takes the recording whole, and no stretch can be taken out of it.'
                : 'Hatched stretches are left out. Point at one for the reason; click it to take it out or in.'}
            </span>
          )}
        </p>
      )}
    </section>
  );
}
