import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useEffect } from 'react';
import { Link, useSearchParams } from 'wouter';
import type { IdentificationDocument } from '../../../engine/project/identification.js';
import { problemOf } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import type { ListedRecording } from '../../api/types.js';
import { EmptyState, ProblemBox } from '../../components/FindingItem.js';
import { Waiting } from '../../components/Waiting.js';
import { useUnits } from '../../state/units.js';
import '../../styles/identify.css';
import { addressOf } from '../addresses.js';
import {
  type IdentifyAddress,
  readAddress,
  recordingBehind,
  recordingOf,
  recordingsFor,
  withChanges,
} from './address.js';
import { IdentifyPage } from './IdentifyPage.js';
import { KeptPage } from './KeptPage.js';
import { NewDrive } from './NewDrive.js';
import { takesOf, takesText } from './takes.js';

/** What a recording says of a drive, with a hand in what is taken out of it. */
export function IdentifyView(): ReactNode {
  const [search, setSearch] = useSearchParams();
  const address = readAddress(search);
  const { system } = useUnits();
  const drives = useQuery(queries.drives());
  const recordings = useQuery(queries.recordings());
  const board = useQuery(queries.board(system));
  const kept = useQuery({
    ...queries.identification(address.identification ?? ''),
    enabled: address.identification !== undefined,
  });
  const error = drives.error ?? recordings.error;
  if (error) return <ProblemBox problem={problemOf(error)} />;
  if (drives.data === undefined || recordings.data === undefined || (kept.isPending && kept.isFetching))
    return <Waiting />;
  const names = drives.data.map((d) => d.name);
  const stated =
    address.drive ?? address.identification?.replace(/\.[^.]*$/, '') ?? firstOf(names, recordings.data);
  const drive = stated !== undefined && names.includes(stated) ? stated : undefined;
  const recording = chosenRecording(address, recordings.data, drive, kept.data);
  const offered = drive === undefined ? recordings.data : recordingsFor(recordings.data, drive);
  const choose = (changes: Readonly<Record<string, string | undefined>>): void =>
    // what was taken out of one recording says nothing of another
    setSearch((before) =>
      withChanges(before, {
        ...{ identification: undefined, out: undefined, in: undefined, from: undefined, to: undefined },
        ...{ delay: undefined, torque: undefined, against: undefined },
        ...changes,
      }),
    );
  const head = (
    <>
      <h1>Identify</h1>
      <label className="row">
        Drive
        <select
          value={drive ?? ''}
          onChange={(e) =>
            choose({
              drive: e.target.value,
              recording: undefined,
              section: board.data?.rows.find((r) => r.drive === e.target.value)?.section,
            })
          }
        >
          {drive === undefined && <option value="">choose</option>}
          {names.map((n) => (
            <option key={n}>{n}</option>
          ))}
        </select>
      </label>
      {drive !== undefined && (
        <label className="row">
          Recording
          <select
            value={recording?.name ?? ''}
            onChange={(e) => choose({ drive, recording: e.target.value })}
          >
            {recording === undefined && <option value="">choose</option>}
            {[...offered, ...(recording && !offered.includes(recording) ? [recording] : [])].map((r) => (
              <option key={r.name}>{r.name}</option>
            ))}
          </select>
        </label>
      )}
    </>
  );
  if (drive === undefined)
    return (
      <>
        <header className="toolbar">{head}</header>
        <NoDrive stated={stated} hasDrives={names.length > 0} />
        <NewDrive name={stated ?? ''} names={names} onMade={(made) => choose({ drive: made })} />
      </>
    );
  if (recording === undefined && kept.data !== undefined)
    return (
      <>
        <header className="toolbar">{head}</header>
        <KeptPage document={kept.data} name={address.identification ?? ''} drive={drive} />
      </>
    );
  if (recording === undefined)
    return (
      <>
        <header className="toolbar">{head}</header>
        <NoRecording
          drive={drive}
          stated={address.recording}
          hasOwn={recordings.data.some((r) => r.drive === drive)}
          hasOthers={offered.length > 0}
        />
      </>
    );
  return (
    <>
      {address.identification !== undefined && address.recording === undefined && kept.data && (
        <OpenedAsKept document={kept.data} drive={drive} recording={recording.name} />
      )}
      <IdentifyPage
        key={`${drive} ${recording.name}`}
        head={head}
        drive={drive}
        driveVersion={drives.data.find((d) => d.name === drive)?.version ?? ''}
        recording={recording}
        address={address}
      />
      <details className="new-drive">
        <summary>Another drive</summary>
        <NewDrive
          name=""
          names={names}
          onMade={(made) => choose({ drive: made, recording: recording.name })}
        />
      </details>
    </>
  );
}

/** The first drive of which something was recorded. */
const firstOf = (drives: readonly string[], recordings: readonly ListedRecording[]): string | undefined =>
  drives.find((d) => recordings.some((r) => r.drive === d)) ?? drives[0];

function chosenRecording(
  address: IdentifyAddress,
  listed: readonly ListedRecording[],
  drive: string | undefined,
  kept: IdentificationDocument | undefined,
): ListedRecording | undefined {
  if (drive === undefined) return undefined;
  if (address.recording !== undefined) return recordingOf(listed, address.recording);
  if (kept !== undefined) return recordingBehind(listed, kept.inputs);
  const own = listed.filter((r) => r.drive === drive);
  // the latest visit, as names tell it: as-left after as-found, days behind
  return own.at(-1);
}

/** Puts into the address what a kept result was made with, so that it opens as it was kept. */
function OpenedAsKept({
  document,
  drive,
  recording,
}: {
  readonly document: IdentificationDocument;
  readonly drive: string;
  readonly recording: string;
}): ReactNode {
  const [, setSearch] = useSearchParams();
  useEffect(() => {
    setSearch((before) => withChanges(before, { drive, recording, ...takesText(takesOf(document)) }), {
      replace: true,
    });
  }, [document, drive, recording, setSearch]);
  return null;
}

function NoDrive({
  stated,
  hasDrives,
}: {
  readonly stated: string | undefined;
  readonly hasDrives: boolean;
}): ReactNode {
  return (
    <EmptyState title={stated === undefined || !hasDrives ? 'No drive yet' : `There is no drive ${stated}`}>
      <p>
        A drive is a file with the nameplate of a motor and what it turns. State it here, and a recording of
        it can be identified; the <Link href="/line">line</Link> may refer to it later.
      </p>
    </EmptyState>
  );
}

/** How a recording is made, one click away. */
function NoRecording({
  drive,
  stated,
  hasOwn,
  hasOthers,
}: {
  readonly drive: string;
  readonly stated: string | undefined;
  readonly hasOwn: boolean;
  readonly hasOthers: boolean;
}): ReactNode {
  const sheet = addressOf({ view: 'test-sheet', parameters: { drive, test: 'designed' } });
  const recordings = addressOf({ view: 'recordings', parameters: { drive } });
  if (hasOwn)
    return (
      <EmptyState title={stated === undefined ? 'No recording chosen' : `There is no recording ${stated}`}>
        <p>
          It was renamed or taken out of the folder, or the address is wrong. Choose one of the recordings of{' '}
          {drive} above.
        </p>
        <p className="row">{recordings !== undefined && <Link href={recordings}>All recordings</Link>}</p>
      </EmptyState>
    );
  return (
    <EmptyState title={`Nothing is recorded of ${drive} yet`}>
      <p>
        Inertia, drag and breakaway torque come from a recording of speed and torque without web: plateaus at
        several speeds, ramps, a coast-down and slow torque ramps from rest.
      </p>
      {hasOthers && <p>Or choose one of the recordings that state no drive.</p>}
      <p className="row">
        {sheet !== undefined && <Link href={sheet}>How to record it</Link>}
        {recordings !== undefined && <Link href={recordings}>Import a recording</Link>}
      </p>
    </EmptyState>
  );
}
