import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useEffect, useMemo } from 'react';
import { Link, useSearchParams } from 'wouter';
import type { BoardRow } from '../../../engine/project/board/boardDocument.js';
import { toDrive } from '../../../engine/project/drive.js';
import { fromIdentificationDocument } from '../../../engine/project/identification.js';
import { problemOf } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import type { ListedIdentification } from '../../api/types.js';
import { EmptyState, ProblemBox } from '../../components/FindingItem.js';
import { Waiting } from '../../components/Waiting.js';
import { latestOf } from '../../line/sources.js';
import { useUnits } from '../../state/units.js';
import '../../styles/feedforward.css';
import { addressOf } from '../addresses.js';
import { readAddress, withChanges } from './address.js';
import { ResultPage } from './ResultPage.js';

/** The torque feed-forward of a drive: table, what it leaves to the web, and recordings played through it. */
export function FeedForwardView(): ReactNode {
  const { system } = useUnits();
  const [search, setSearch] = useSearchParams();
  const address = readAddress(search);
  const board = useQuery(queries.board(system));
  const listed = useQuery(queries.identifications());
  const stated = listed.data?.find((i) => i.name === address.identification);
  const known = listed.data ?? [];
  const rows = board.data?.rows ?? [];
  const drives = [
    ...new Set([...rows.map((r) => r.drive).filter((d) => d !== undefined), ...known.map((i) => i.drive)]),
  ];
  const drive =
    stated?.drive ?? address.drive ?? drives.find((d) => latestOf(d, known) !== undefined) ?? drives[0];
  const row = rows.find((r) => r.drive === drive);
  const section = row?.section;
  // the section of the drive is lit in the line
  useEffect(() => {
    if (section !== undefined && search.get('section') !== section)
      setSearch((before) => withChanges(before, { section }), { replace: true });
  }, [section, search, setSearch]);
  const error = listed.error ?? board.error;
  if (error) return <ProblemBox problem={problemOf(error)} />;
  if (listed.data === undefined || board.data === undefined) return <Waiting />;
  if (drive === undefined)
    return (
      <EmptyState title="No drive yet">
        <p>
          A feed-forward is made for a drive. State a drive at a section of the <Link href="/line">line</Link>
          , record it without web, and identify it.
        </p>
      </EmptyState>
    );
  const results = known.filter((i) => i.drive === drive);
  const result = stated ?? results.find((i) => i.name === latestOf(drive, known)) ?? results.at(-1);
  const choose = (changes: Readonly<Record<string, string | undefined>>): void =>
    // what was seen of one result says nothing of another
    setSearch((before) =>
      withChanges(before, { recording: undefined, from: undefined, to: undefined, ...changes }),
    );
  return (
    <div className="feed-forward">
      <header className="toolbar">
        <h1>Feed-forward</h1>
        <label className="row">
          Drive
          <select
            value={drive}
            onChange={(e) => choose({ drive: e.target.value, identification: undefined, section: undefined })}
          >
            {drives.map((d) => (
              <option key={d}>{d}</option>
            ))}
          </select>
        </label>
        {result && (
          <label className="row">
            Result
            <select value={result.name} onChange={(e) => choose({ drive, identification: e.target.value })}>
              {results.map((r) => (
                <option key={r.name} value={r.name}>
                  {r.visit || r.name}
                  {r.staleBecause.length > 0 && ' (stale)'}
                  {r.verdict === 'refused' && ' (refused)'}
                </option>
              ))}
            </select>
          </label>
        )}
      </header>
      {result === undefined ? (
        <NoResult drive={drive} row={row} />
      ) : (
        <ReadResult key={result.name} result={result} drive={drive} />
      )}
    </div>
  );
}

/** Why there is none, as the board says it, and the way there. */
function NoResult({ drive, row }: { readonly drive: string; readonly row: BoardRow | undefined }): ReactNode {
  const cell = row?.cells.feedforward;
  const action = cell?.state === 'missing' ? cell.action : undefined;
  const way = action && addressOf(action);
  const identify = addressOf({ view: 'identify', parameters: { drive } });
  return (
    <EmptyState title={`Nothing is known of ${drive} yet`}>
      {cell?.state === 'missing' && <p>The board says: {cell.reason}.</p>}
      <p>
        The torque that a drive gives by itself, so that the web need not carry its roller, follows from its
        inertia, drag and breakaway torque. They come from a recording without web: plateaus at several
        speeds, ramps, a coast-down and slow torque ramps from rest.
      </p>
      <p>
        {action &&
          (way === undefined ? `Next: ${action.words}.` : <Link href={way}>Next: {action.words}</Link>)}{' '}
        {identify !== undefined && way !== identify && <Link href={identify}>Identify this drive</Link>}
      </p>
    </EmptyState>
  );
}

function ReadResult({
  result,
  drive: driveName,
}: {
  readonly result: ListedIdentification;
  readonly drive: string;
}): ReactNode {
  const { data: document, error } = useQuery(queries.identification(result.name));
  const driveFile = useQuery(queries.drive(driveName));
  // as the board does: the drive as its file states it now, else as the result states it
  const drive = useMemo(
    () => (document === undefined ? undefined : toDrive(driveFile.data?.document ?? document.drive)),
    [document, driveFile.data],
  );
  const id = useMemo(
    () => (document === undefined ? undefined : fromIdentificationDocument(document)),
    [document],
  );
  if (error) return <ProblemBox problem={problemOf(error)} />;
  if (document === undefined || id === undefined || drive === undefined || driveFile.isPending)
    return <Waiting />;
  return <ResultPage result={result} document={document} id={id} drive={drive} driveName={driveName} />;
}
