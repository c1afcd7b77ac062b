import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useMemo, useState } from 'react';
import { Link, useLocation, useSearchParams } from 'wouter';
import type { IdentificationDocument } from '../../../engine/project/identification.js';
import { postJson, problemOf } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import type { ListedRecording, Problem, Proposed, RecordingTrace } from '../../api/types.js';
import { FindingList, ProblemBox } from '../../components/FindingItem.js';
import { TestSheetLinks } from '../../components/TestSheetLinks.js';
import { channelsOf, roleWords, type TrendChannel, usualChannels } from '../../components/trend/channels.js';
import type { TimeWindow } from '../../components/trend/held.js';
import { Trend } from '../../components/trend/Trend.js';
import { useTrendAddress } from '../../components/trend/useTrendAddress.js';
import { addressOf } from '../addresses.js';
import { NoteList, noteStretches } from './NoteList.js';
import { resultOf } from './RecordingList.js';
import { useAnnotations } from './useAnnotations.js';

/** One recording: its trend, which channels are shown, and what there is to say about it. */
export function RecordingPage({ recording }: { readonly recording: ListedRecording }): ReactNode {
  const { name, file, drive, visit, error } = recording;
  const [search, setSearch] = useSearchParams();
  const [window, setWindow] = useTrendAddress();
  const { data: trace } = useQuery({ ...queries.recordingTrace(name), enabled: error === undefined });
  const result = useResult(recording);
  const delay = delayOf(result);
  const annotations = useAnnotations(name);
  const [marked, setMarked] = useState<TimeWindow>();
  const [lit, setLit] = useState<string>();
  const axis = trace?.time.unit ?? 's';
  const { stretches } = annotations;
  const notes = useMemo(
    () => [
      ...noteStretches(stretches, axis),
      ...(marked
        ? [{ ...marked, id: 'marked', tone: 'note' as const, letter: '', title: 'Marked, not noted yet' }]
        : []),
    ],
    [stretches, axis, marked],
  );
  if (error)
    return (
      <>
        <h1>{name}</h1>
        <ProblemBox problem={error} />
        {recording.kind === 'export' && <TellButton name={name} />}
      </>
    );
  const all = trace ? channelsOf(trace) : [];
  const stated = search.getAll('channel').filter((key) => all.some((c) => c.key === key));
  const shown = stated.length > 0 ? stated : usualChannels(all).map((c) => c.key);
  const isAligned = search.get('aligned') === '1';
  const change = (how: (next: URLSearchParams) => void): void =>
    setSearch(
      (before) => {
        const next = new URLSearchParams(before);
        // the address names what is shown, however it was come to
        next.set('recording', file);
        how(next);
        return next;
      },
      { replace: true },
    );
  const identify = addressOf({
    view: 'identify',
    parameters: { ...(drive !== undefined && { drive }), recording: file },
  });
  return (
    <>
      <header className="toolbar">
        <h1>{drive === undefined ? name : `${drive}, ${visit?.replaceAll('-', ' ') ?? ''}`}</h1>
        <span className="soft">{file}</span>
        {trace && <Facts trace={trace} />}
        {identify !== undefined && drive !== undefined && (
          <Link className="end" href={identify}>
            Identify
          </Link>
        )}
      </header>
      {trace && all.length > 1 && (
        <ChannelChoice
          all={all}
          shown={shown}
          onChange={(keys) =>
            change((next) => {
              next.delete('channel');
              for (const key of keys) next.append('channel', key);
            })
          }
        />
      )}
      {delay && (
        <p>
          <label className="row">
            <input
              type="checkbox"
              checked={isAligned}
              onChange={(e) =>
                change((next) => (e.target.checked ? next.set('aligned', '1') : next.delete('aligned')))
              }
            />
            Draw the {delay.words} {(1000 * delay.seconds).toPrecision(2)} ms earlier: so late it comes, by
            the identification
          </label>
        </p>
      )}
      <Trend
        recording={name}
        channels={shown}
        window={window}
        onWindow={setWindow}
        stretches={notes}
        lit={marked ? 'marked' : lit}
        onLight={setLit}
        onPick={(id) => {
          const note = notes.find((n) => n.id === id);
          if (note) setWindow(around(note));
        }}
        {...(annotations.canEdit && { onMark: setMarked, markWords: 'Mark and note a stretch' })}
        {...(delay && isAligned && { delays: { [delay.role]: delay.seconds } })}
      />
      {trace && (
        <NoteList
          annotations={annotations}
          axis={axis}
          marked={marked}
          onMarked={setMarked}
          lit={lit}
          onLight={setLit}
          onGo={(window) => setWindow(around(window))}
        />
      )}
      {trace && trace.findings.length > 0 && (
        <section>
          <h2>What reading it found</h2>
          <FindingList findings={trace.findings} />
          {recording.kind === 'export' && trace.findings.some((f) => f.severity === 'refuse') && (
            <TellButton name={name} />
          )}
        </section>
      )}
      {trace && <TestSheetLinks findings={[...trace.findings, ...(result?.findings ?? [])]} drive={drive} />}
    </>
  );
}

/** The way to say what an export does not: as if it had been dropped. The export itself stays as it is. */
function TellButton({ name }: { readonly name: string }): ReactNode {
  const [, navigate] = useLocation();
  const [problem, setProblem] = useState<Problem>();
  const tell = async (): Promise<void> => {
    try {
      const { upload } = await postJson<Proposed>(`/api/recordings/${encodeURIComponent(name)}/upload`, {});
      navigate(`/recordings/import/${upload}`);
    } catch (error) {
      const { upload } = problemOf(error).where;
      if (typeof upload === 'string') navigate(`/recordings/import/${upload}`);
      else setProblem(problemOf(error));
    }
  };
  return (
    <>
      {problem && <ProblemBox problem={problem} />}
      <p>
        <button type="button" className="strong" onClick={() => void tell()}>
          Say which column is what
        </button>{' '}
        <span className="soft">The file in exports/ stays as it is.</span>
      </p>
    </>
  );
}

/** A stretch with some room beside it. */
const around = ({ from, to }: TimeWindow): TimeWindow => ({
  from: from - 0.2 * (to - from),
  to: to + 0.2 * (to - from),
});

/** The latest result of the recording's drive and visit. */
function useResult(recording: ListedRecording): IdentificationDocument | undefined {
  const { data: results = [] } = useQuery(queries.identifications());
  const listed = resultOf(recording, results);
  const { data } = useQuery({
    ...queries.identification(listed?.name ?? ''),
    enabled: listed !== undefined,
  });
  return data;
}

/** The channel that comes late, as a result estimated it; undefined where none is known. */
function delayOf(
  result: IdentificationDocument | undefined,
): { readonly role: string; readonly words: string; readonly seconds: number } | undefined {
  const late = result?.channels.find((c) => c.delay_s !== 0);
  return late && { role: late.role, words: late.role.replaceAll('-', ' '), seconds: late.delay_s };
}

/** What it is: how long, how often sampled, which columns are what. */
function Facts({ trace }: { readonly trace: RecordingTrace }): ReactNode {
  const { from, to, unit } = trace.time;
  const count = new Intl.NumberFormat();
  const seconds = to - from;
  const parts = [
    `${count.format(trace.samples)} rows`,
    ...(unit === 's' && trace.samples > 1
      ? [
          `${Number(seconds.toPrecision(4))} s`,
          `a sample every ${Number(((1000 * seconds) / (trace.samples - 1)).toPrecision(3))} ms on average`,
        ]
      : ['no time: drawn by row']),
    `${trace.columns.length} columns`,
  ];
  return (
    <p className="recording-facts soft">
      {parts.map((part) => (
        <span key={part}>{part}</span>
      ))}
    </p>
  );
}

function ChannelChoice({
  all,
  shown,
  onChange,
}: {
  readonly all: readonly TrendChannel[];
  readonly shown: readonly string[];
  readonly onChange: (keys: readonly string[]) => void;
}): ReactNode {
  return (
    <fieldset className="channel-choice choice">
      <legend className="hidden">Channels</legend>
      {all.map((c) => (
        <label key={c.key} title={c.role ? `${roleWords(c.role)}` : c.key}>
          <input
            type="checkbox"
            checked={shown.includes(c.key)}
            // the last one stays: a trend of nothing shows nothing
            disabled={shown.length === 1 && shown[0] === c.key}
            onChange={(e) =>
              onChange(
                all
                  .map((a) => a.key)
                  .filter((key) => (key === c.key ? e.target.checked : shown.includes(key))),
              )
            }
          />
          {c.label}
        </label>
      ))}
    </fieldset>
  );
}
