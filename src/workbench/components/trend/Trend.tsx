import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useEffect, useLayoutEffect, useMemo, useRef, useState } from 'react';
import { shortNumber } from '../../../engine/report/format.js';
import { problemOf } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import type { RecordingTrace } from '../../api/types.js';
import { useUnits } from '../../state/units.js';
import { EmptyState, ProblemBox } from '../FindingItem.js';
import { Waiting } from '../Waiting.js';
import { channelsOf, type Lane, lanesOf, type TrendChannel, usualChannels } from './channels.js';
import type { TimeWindow } from './held.js';
import { TrendPainter } from './painter.js';
import { SaveTrend } from './SaveTrend.js';
import { StretchStrip } from './StretchStrip.js';
import { TrendSource } from './source.js';
import type { TrendStretch } from './stretches.js';
import type { TrendProps } from './trendProps.js';
import './trend.css';
import { useTrendInput } from './useTrendInput.js';
import { decimalsFor, isSame, toAddress } from './window.js';

/**
 * A recording over time: channels of one quantity share a lane with its axis, lanes share the time. Every sample is in what is drawn, however long
 * the recording is. Pointer: drag pans, wheel zooms, Shift and wheel pans, double click shows everything. Keys: arrows move the cursor (Shift:
 * finely), + and − zoom, Page Up and Down pan, Home and End go to the ends, 0 shows everything, M marks.
 */
export function Trend(props: TrendProps): ReactNode {
  const { data: trace, error, refetch } = useQuery(queries.recordingTrace(props.recording));
  if (error)
    return (
      <ProblemBox problem={problemOf(error)}>
        <button type="button" onClick={() => void refetch()}>
          Try again
        </button>
      </ProblemBox>
    );
  if (trace === undefined)
    return (
      <Waiting words="Reading the recording, and making it ready for drawing. Next time it is there at once …" />
    );
  if (trace.samples === 0 || channelsOf(trace).length === 0)
    return (
      <EmptyState title="Nothing to draw">
        <p>This recording has no row, or no column of numbers. Look at the file, and import it again.</p>
      </EmptyState>
    );
  return <TrendOf key={`${props.recording} ${trace.key}`} trace={trace} {...props} />;
}

const noStretches: readonly TrendStretch[] = [];

function TrendOf(props: TrendProps & { readonly trace: RecordingTrace }): ReactNode {
  const { trace, recording, stretches = noStretches, lit, laneHeight } = props;
  const units = useUnits();
  const all = useMemo(() => channelsOf(trace), [trace]);
  const shownKeys = (props.channels ?? usualChannels(all).map((c) => c.key)).join('\n');
  const delays = JSON.stringify(props.delays ?? {});
  const lanes = useMemo(
    () =>
      lanesOf(
        shownKeys.split('\n').flatMap((key) => {
          const channel = all.find((c) => c.key === key);
          const delay = (JSON.parse(delays) as Record<string, number>)[key];
          return channel ? [delay === undefined ? channel : { ...channel, delay }] : [];
        }),
        units,
      ),
    [all, shownKeys, delays, units],
  );
  const [isFitted, setFitted] = useState(false);
  const [failure, setFailure] = useState<unknown>();
  const [rest, setRest] = useState<Rest>();
  const latest = useRef(props);
  latest.current = props;

  const painter = useMemo(() => {
    const { from, to } = trace.time;
    const whole = to > from ? { from, to } : { from: from - 0.5, to: to + 0.5 };
    const made: TrendPainter = new TrendPainter(
      new TrendSource(recording, whole, (e) => {
        if (e !== undefined) setFailure(e);
        made.requestDraw();
      }),
      whole,
      trace.samples,
      latest.current.window,
      (window, ranges) => {
        setRest({ window, ranges });
        const { window: before, onWindow } = latest.current;
        const now = made.isWhole ? undefined : window;
        if (!isSameAddress(before, now)) onWindow?.(now);
      },
    );
    return made;
  }, [recording, trace]);

  const box = useRef<HTMLDivElement>(null);
  const laneBoxes = useRef<(HTMLDivElement | null)[]>([]);
  const strip = useRef(new Map<string, HTMLElement>());
  const cursorLine = useRef<HTMLDivElement>(null);
  const brush = useRef<HTMLDivElement>(null);
  const height = laneHeight ?? (lanes.length > 1 ? 104 : 260);
  const settings = useMemo(() => {
    const localised = (text: string): string => (units.style.decimal === ',' ? text.replace('.', ',') : text);
    return {
      timeAxis: trace.time.unit === 's' ? 'Time, t [s]' : 'Row',
      isFitted,
      stretches,
      lit,
      localised,
      number: (value: number): string => localised(shortNumber(value)),
    };
  }, [units, trace, isFitted, stretches, lit]);
  const settingsNow = useRef(settings);
  settingsNow.current = settings;
  const input = useTrendInput(painter, props, trace.time.unit);

  useLayoutEffect(() => {
    const outer = box.current;
    const [line, marked] = [cursorLine.current, brush.current];
    if (outer === null || line === null || marked === null) return;
    const parts = lanes.flatMap((lane, k) => {
      const at = laneBoxes.current[k];
      const canvas = at?.querySelector<HTMLElement>('.trend-canvas');
      return at && canvas
        ? [{ lane, box: canvas, values: [...at.querySelectorAll<HTMLElement>('.trend-value')] }]
        : [];
    });
    painter.mount(
      { lanes: parts, cursorLine: line, brush: marked, strip: strip.current },
      settingsNow.current,
      outer.clientWidth,
      height,
    );
    const watch = new ResizeObserver(() => {
      outer.style.setProperty('--drawn-width', String(outer.clientWidth));
      painter.resize(outer.clientWidth);
    });
    watch.observe(outer);
    return () => {
      watch.disconnect();
      painter.unmount();
    };
  }, [painter, lanes, height]);
  useLayoutEffect(() => painter.set(settings), [painter, settings]);
  useEffect(() => {
    if (!isSameAddress(props.window, painter.isWhole ? undefined : painter.window))
      painter.go(props.window ?? painter.whole);
  }, [painter, props.window]);
  useEffect(() => {
    if (latest.current.onCursor !== undefined) painter.point(props.cursor);
  }, [painter, props.cursor]);
  useEffect(() => {
    const recolour = (): void => painter.recolour();
    const dark = matchMedia('(prefers-color-scheme: dark)');
    dark.addEventListener('change', recolour);
    window.addEventListener('tautline-theme', recolour);
    return () => {
      dark.removeEventListener('change', recolour);
      window.removeEventListener('tautline-theme', recolour);
    };
  }, [painter]);

  const { unit } = trace.time;
  return (
    <section className="trend" aria-label={`Trend of ${recording}`}>
      <div className="trend-tools">
        <button type="button" onClick={() => painter.go(painter.whole)}>
          Whole recording
        </button>
        <button type="button" aria-label="Zoom out" title="Zoom out (−)" onClick={() => input.zoom(2)}>
          −
        </button>
        <button type="button" aria-label="Zoom in" title="Zoom in (+)" onClick={() => input.zoom(0.5)}>
          +
        </button>
        <label className="row">
          <input type="checkbox" checked={isFitted} onChange={(e) => setFitted(e.target.checked)} />
          Fit values to the window
        </label>
        {props.onMark && (
          <button type="button" aria-pressed={input.isMarking} onClick={input.toggleMarking}>
            {props.markWords ?? 'Mark a stretch'}
          </button>
        )}
        <span className="soft end">{rest && windowText(rest.window, unit, settings.localised)}</span>
      </div>
      {failure !== undefined && (
        <ProblemBox problem={problemOf(failure)}>
          <button
            type="button"
            onClick={() => {
              setFailure(undefined);
              painter.source.retry();
            }}
          >
            Try again
          </button>
        </ProblemBox>
      )}
      <div className="trend-box" ref={box}>
        {stretches.length > 0 && (
          <StretchStrip
            stretches={stretches}
            lit={lit}
            elements={strip.current}
            onLight={props.onLight}
            onPick={props.onPick}
          />
        )}
        <div className="trend-lanes">
          {lanes.map((lane, k) => (
            <div
              key={lane.id}
              ref={(element) => {
                laneBoxes.current[k] = element;
              }}
              className="trend-lane"
            >
              <LaneHead
                lane={lane}
                range={rest?.ranges[k]}
                number={settings.number}
                isShowingTime={unit === 's'}
              />
              <div className="trend-canvas" />
            </div>
          ))}
          <div
            className={`trend-area${input.isMarking ? ' marking' : ''}`}
            role="group"
            tabIndex={0}
            aria-label={`Trend, ${lanes.map((l) => l.axis).join('; ')}. Arrow keys move the cursor, plus and minus zoom${props.onMark ? ', M marks the ends of a stretch' : ''}.`}
            {...input.handlers}
            ref={input.area}
          >
            <div className="trend-brush" ref={brush} hidden />
            <div className="trend-cursor" ref={cursorLine} hidden />
          </div>
        </div>
      </div>
      <p className="figure-foot">
        <span className="soft" aria-live="polite">
          {input.said}
        </span>
        <SaveTrend
          name={recording}
          timeAxis={settings.timeAxis}
          lanes={lanes}
          stretches={stretches}
          painter={painter}
        />
      </p>
    </section>
  );
}

interface Rest {
  readonly window: TimeWindow;
  readonly ranges: readonly (readonly [number, number] | undefined)[];
}

/** Which channels a lane holds and what each is at the cursor; to those who do not see the picture, what range it shows. */
function LaneHead({
  lane,
  range,
  number,
  isShowingTime,
}: {
  readonly lane: Lane;
  readonly range: readonly [number, number] | undefined;
  readonly number: (value: number) => string;
  readonly isShowingTime: boolean;
}): ReactNode {
  return (
    <p className="trend-head">
      {lane.channels.length > 1 && <span className="soft">{lane.axis}</span>}
      {lane.channels.map((channel) => (
        <span key={channel.key}>
          <Swatch channel={channel} /> {channel.label}
          {channel.delay !== undefined && channel.delay !== 0 && isShowingTime && (
            <span className="soft"> drawn {Math.round(1000 * channel.delay)} ms earlier</span>
          )}{' '}
          <b className="trend-value" />
        </span>
      ))}
      <span className="hidden">
        {range
          ? `${lane.axis} from ${number(range[0])} to ${number(range[1])} in the window`
          : `${lane.axis}: no value in the window`}
      </span>
    </p>
  );
}

const Swatch = ({ channel }: { readonly channel: TrendChannel }): ReactNode => (
  <svg className={`swatch ${channel.signal}`} viewBox="0 0 22 10" width="22" height="10" aria-hidden="true">
    <path d="M1 5h20" {...(channel.isReference && { strokeDasharray: '5 3' })} />
  </svg>
);

const isSameAddress = (a: TimeWindow | undefined, b: TimeWindow | undefined): boolean =>
  isSame(a, b) ||
  (a !== undefined && b !== undefined && JSON.stringify(toAddress(a)) === JSON.stringify(toAddress(b)));

function windowText(
  { from, to }: TimeWindow,
  unit: RecordingTrace['time']['unit'],
  localised: (text: string) => string,
): string {
  const decimals = unit === 'row' ? 0 : decimalsFor((to - from) / 1000);
  const [a, b] = [from, to].map((t) => localised(t.toFixed(decimals).replace('-', '−')));
  return unit === 's' ? `${a} s to ${b} s` : `rows ${a} to ${b}`;
}
