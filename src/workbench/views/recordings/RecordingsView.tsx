import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useState } from 'react';
import { Link, useLocation, useParams, useSearchParams } from 'wouter';
import { problemOf } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import type { ListedRecording } from '../../api/types.js';
import { EmptyState, ProblemBox } from '../../components/FindingItem.js';
import { Waiting } from '../../components/Waiting.js';
import { DropPlace } from './DropPlace.js';
import { ImportPage } from './ImportPage.js';
import { RecordingList } from './RecordingList.js';
import { RecordingPage } from './RecordingPage.js';
import { TestSheetPage } from './TestSheetPage.js';
import '../../styles/recordings.css';

/** Recordings of the line: what there is, the way of a file into the folder, its trend, and how to make the ones that are missing. */
export function RecordingsView(): ReactNode {
  const { '*': rest = '' } = useParams<{ '*': string }>();
  if (rest === 'test-sheet') return <TestSheetPage />;
  return <Recordings upload={/^import\/([0-9a-f]{16,64})$/.exec(rest)?.[1]} />;
}

function Recordings({ upload }: { readonly upload: string | undefined }): ReactNode {
  const [search] = useSearchParams();
  const [, navigate] = useLocation();
  const { data: recordings, error } = useQuery(queries.recordings());
  const [isListOpen, setListOpen] = useState(true);
  if (error) return <ProblemBox problem={problemOf(error)} />;
  if (recordings === undefined) return <Waiting />;
  const asked = search.get('recording');
  const chosen =
    upload === undefined
      ? asked === null
        ? first(recordings, search.get('drive'))
        : found(recordings, asked)
      : undefined;
  return (
    <div className={`recordings${isListOpen ? '' : ' wide'}`}>
      <aside className="recording-side" aria-label="Recordings of the line">
        <div className="row">
          <h1>Recordings</h1>
          <button
            type="button"
            className="quiet end"
            aria-expanded={isListOpen}
            onClick={() => setListOpen(!isListOpen)}
          >
            {isListOpen ? 'Hide list' : 'Show list'}
          </button>
        </div>
        {isListOpen && (
          <>
            <DropPlace onUploaded={(id) => navigate(`/recordings/import/${id}`)} />
            <RecordingList recordings={recordings} chosen={chosen} />
            <p>
              <Link href={sheetAddress(search.get('drive') ?? chosen?.drive)}>
                Test sheets: how to make a recording
              </Link>
            </p>
          </>
        )}
      </aside>
      <section className="recording-main" aria-label={chosen?.name ?? 'Import'}>
        {upload !== undefined ? (
          <ImportPage key={upload} upload={upload} />
        ) : chosen !== undefined ? (
          <RecordingPage key={chosen.file} recording={chosen} />
        ) : asked !== null ? (
          <EmptyState title="This recording is not here">
            <p>
              {asked} is neither in recordings/ nor in exports/. Put it back, or drop it here again; results
              that rest on it say so on the board.
            </p>
          </EmptyState>
        ) : (
          <EmptyState title="No recording yet">
            <p>
              Drop the file that the drive or the trend recorder exported: CSV, text or Parquet. It is read as
              it is, and what it does not say is asked. The{' '}
              <Link href={sheetAddress(search.get('drive'))}>test sheet</Link> says how to make it.
            </p>
          </EmptyState>
        )}
      </section>
    </div>
  );
}

const sheetAddress = (drive: string | null | undefined): string =>
  `/recordings/test-sheet${drive == null ? '' : `?drive=${encodeURIComponent(drive)}`}`;

/** By path, as the board says it, or by name. */
const found = (recordings: readonly ListedRecording[], asked: string): ListedRecording | undefined =>
  recordings.find((r) => r.file === asked) ?? recordings.find((r) => r.name === asked);

/** The first recording of a drive, else of all. */
const first = (recordings: readonly ListedRecording[], drive: string | null): ListedRecording | undefined =>
  recordings.find((r) => r.drive === drive) ?? recordings[0];
