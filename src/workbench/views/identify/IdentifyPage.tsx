import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useDeferredValue, useEffect, useMemo, useState } from 'react';
import { useSearchParams } from 'wouter';
import { toDrive } from '../../../engine/project/drive.js';
import { queries } from '../../api/queries.js';
import type { ListedRecording } from '../../api/types.js';
import { ProblemBox } from '../../components/FindingItem.js';
import { toAddress } from '../../components/trend/window.js';
import { edited, redone, startHistory, undone } from '../../state/editHistory.js';
import { AgainstPicker } from './AgainstPicker.js';
import { type IdentifyAddress, withChanges } from './address.js';
import { Choices } from './Choices.js';
import { compared } from './comparison.js';
import { Headline } from './Headline.js';
import { JobBar } from './JobBar.js';
import { KeepForm } from './KeepForm.js';
import { Plots } from './Plots.js';
import { ResultPanel } from './ResultPanel.js';
import { type Remedy, remedyOf, remedyWords } from './remedy.js';
import { SegmentTrend } from './SegmentTrend.js';
import { shownResult } from './shown.js';
import { type Takes, takesText } from './takes.js';
import { useAgainst } from './useAgainst.js';
import { type IdentifyRequest, useIdentified } from './useIdentified.js';

interface Props {
  /** Title and choices, at the left of the toolbar. */
  readonly head: ReactNode;
  readonly drive: string;
  readonly driveVersion: string;
  readonly recording: ListedRecording;
  readonly address: IdentifyAddress;
}

/** Of the entry of the delay. */
const delayId = 'identify-delay';

/** A drive identified from a recording, as the address states it. */
export function IdentifyPage({ head, drive, driveVersion, recording, address }: Props): ReactNode {
  const [, setSearch] = useSearchParams();
  const { takes, delay, flipTorque } = address;
  const request: IdentifyRequest = {
    drive,
    recording: recording.name,
    options: {
      ...(takes.out.length > 0 && { exclude: takes.out }),
      ...(takes.in.length > 0 && { include: takes.in }),
      ...(flipTorque && { flipTorque }),
      ...(delay !== undefined && { compensateDelay: delay }),
    },
    stamp: `${driveVersion} ${recording.sha256 ?? ''}`,
  };
  const identified = useIdentified(request);
  const { result, isBehind, job, problem } = identified;
  const driveFile = useQuery(queries.drive(drive));
  const identification = useMemo(() => result && shownResult(result), [result]);
  const words = recording.visit ?? 'this recording';
  const shown = useMemo(() => identification && { identification, words }, [identification, words]);
  const stated = driveFile.data?.document ?? result?.document.drive;
  const motor = useMemo(() => stated && toDrive(stated), [stated]);
  const kept = useAgainst(address.against);
  const comparison = useMemo(
    () => kept && identification && motor && compared(kept, identification, recording.visit, motor),
    [kept, identification, motor, recording.visit],
  );
  const over = useMemo(() => {
    if (comparison === undefined || kept === undefined || shown === undefined) return undefined;
    const now = kept.words === shown.words ? { ...shown, words: `${shown.words}, now` } : shown;
    return comparison.isKeptEarlier ? { earlier: kept, later: now } : { earlier: now, later: kept };
  }, [comparison, kept, shown]);
  // numbers and stretches first, the plots right behind them
  const plotted = useDeferredValue(shown);
  const overPlotted = useDeferredValue(over);
  const [lit, setLit] = useState<string>();

  const change = (changes: Readonly<Record<string, string | undefined>>): void =>
    setSearch((before) => withChanges(before, changes), { replace: true });
  const mend = (remedy: Remedy): void => {
    if (remedy.kind === 'turn-torque') change({ torque: 'turned' });
    else if (remedy.kind === 'state-delay') document.getElementById(delayId)?.focus();
    else change(toAddress(remedy.window));
  };
  const history = useTakes(takes, (text) => change(fromText(text)));

  return (
    <div className="identify">
      <header className="toolbar">
        {head}
        <button
          type="button"
          disabled={history.last === undefined}
          onClick={history.undo}
          title={`Undo: ${history.last ?? 'nothing'} (Ctrl+Z)`}
        >
          Undo
        </button>
        <button
          type="button"
          disabled={history.next === undefined}
          onClick={history.redo}
          title={`Redo: ${history.next ?? 'nothing'} (Ctrl+Y)`}
        >
          Redo
        </button>
        <KeepForm
          key={recording.name}
          request={request}
          recording={recording}
          isReady={result !== undefined && !isBehind && result.document.verdict !== 'refused'}
        />
      </header>
      {problem && (
        <ProblemBox problem={problem}>
          <button type="button" onClick={identified.again}>
            Try again
          </button>
        </ProblemBox>
      )}
      <JobBar job={job} isBehind={isBehind} onCancel={identified.cancel} onAgain={identified.again} />
      {identification && <Headline identification={identification} isBehind={isBehind} />}
      <SegmentTrend
        recording={recording.name}
        segments={identification?.segments ?? []}
        channels={result?.document.channels ?? []}
        takes={takes}
        isFixed={identification?.findings.some((f) => f.code === 'web_on') ?? false}
        lit={lit}
        onLight={setLit}
        onTakes={(after, words) => history.edit(takesKey(after), words)}
      />
      {identification && (
        <AgainstPicker
          drive={drive}
          chosen={address.against}
          kept={kept}
          compared={comparison}
          words={words}
          onChange={(name) => change({ against: name })}
        />
      )}
      {identification && plotted && motor && result && (
        <div className="columns" aria-busy={isBehind}>
          <Plots
            drive={motor}
            driveName={drive}
            shown={plotted}
            {...(overPlotted && { over: overPlotted })}
            lit={lit}
            onLight={setLit}
          />
          <ResultPanel
            identification={identification}
            document={result.document}
            driveName={drive}
            file={recording.file}
            onFinding={(finding) => {
              const remedy = remedyOf(finding, flipTorque);
              return remedy && (() => mend(remedy));
            }}
            wordsOf={(finding) => {
              const remedy = remedyOf(finding, flipTorque);
              return remedy && remedyWords[remedy.kind];
            }}
            choices={<Choices id={delayId} delay={delay} flipTorque={flipTorque} onChange={change} />}
          />
        </div>
      )}
    </div>
  );
}

const takesKey = (takes: Takes): string => JSON.stringify(takesText(takes));
const fromText = (text: string): Record<string, string | undefined> =>
  JSON.parse(text) as Record<string, string>;

/** Takes with what can be undone; an address that was opened or gone back to starts anew. */
function useTakes(
  takes: Takes,
  onText: (text: string) => void,
): {
  readonly last: string | undefined;
  readonly next: string | undefined;
  edit(text: string, words: string): void;
  undo(): void;
  redo(): void;
} {
  const text = takesKey(takes);
  const [kept, setHistory] = useState(() => startHistory(text));
  const history = kept.text === text ? kept : startHistory(text);
  const go = (after: typeof history): void => {
    if (after === history) return;
    setHistory(after);
    onText(after.text);
  };
  const undo = (): void => go(undone(history));
  const redo = (): void => go(redone(history));
  useEffect(() => {
    const onKey = (e: KeyboardEvent): void => {
      if (!(e.ctrlKey || e.metaKey) || e.altKey || e.target instanceof HTMLInputElement) return;
      const key = e.key.toLowerCase();
      if (key !== 'z' && key !== 'y') return;
      e.preventDefault();
      if (key === 'y' || e.shiftKey) redo();
      else undo();
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  });
  return {
    last: history.past.at(-1)?.words,
    next: history.future[0]?.words,
    edit: (after, words) => go(edited(history, after, words)),
    undo,
    redo,
  };
}
