import { useQuery } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import { Link } from 'wouter';
import { compareVisits } from '../../../engine/project/visit.js';
import { queries } from '../../api/queries.js';
import type { ListedIdentification, ListedRecording } from '../../api/types.js';
import { Sign } from '../../components/Sign.js';

interface Props {
  readonly recordings: readonly ListedRecording[];
  readonly chosen: ListedRecording | undefined;
}

/** What there is, by drive and visit, and what came of it. */
export function RecordingList({ recordings, chosen }: Props): ReactNode {
  const { data: results = [] } = useQuery(queries.identifications());
  const drives = [...new Set(recordings.map((r) => r.drive ?? ''))].sort((a, b) =>
    a === '' ? 1 : b === '' ? -1 : a.localeCompare(b),
  );
  return (
    <nav aria-label="Recordings" className="recording-list">
      {drives.map((drive) => (
        <section key={drive}>
          <h2>{drive === '' ? 'Of no drive, by their names' : drive}</h2>
          <ul>
            {recordings
              .filter((r) => (r.drive ?? '') === drive)
              .sort((a, b) => compareVisits(a.visit ?? '', b.visit ?? ''))
              .map((r) => (
                <li key={r.file}>
                  <Link
                    href={addressOfRecording(r)}
                    aria-current={r === chosen ? 'page' : undefined}
                    title={r.file}
                  >
                    <span>{visitWords(r)}</span>
                    <span className="soft">
                      {r.kind === 'export' ? 'export, ' : ''}
                      {sizeWords(r)}
                    </span>
                    <Verdict recording={r} results={results} />
                  </Link>
                </li>
              ))}
          </ul>
        </section>
      ))}
    </nav>
  );
}

/** Address of a recording in this view. */
export function addressOfRecording({ file, drive }: Pick<ListedRecording, 'file' | 'drive'>): string {
  const search = new URLSearchParams({ ...(drive !== undefined && { drive }), recording: file });
  return `/recordings?${search.toString()}`;
}

const visitWords = ({ visit, name }: ListedRecording): string =>
  visit === undefined ? name : visit.replaceAll(/(?<=[a-z])-(?=[a-z])/g, ' ');

function sizeWords({ rows, bytes }: ListedRecording): string {
  if (rows !== undefined) return `${new Intl.NumberFormat().format(rows)} rows`;
  return bytes < 1e6 ? `${Math.ceil(bytes / 1e3)} kB` : `${(bytes / 1e6).toPrecision(3)} MB`;
}

/** The latest result of a drive's visit. */
export const resultOf = (
  { drive, visit }: Pick<ListedRecording, 'drive' | 'visit'>,
  results: readonly ListedIdentification[],
): ListedIdentification | undefined => results.findLast((r) => r.drive === drive && r.visit === visit);

const verdictWords = {
  identified: 'identified',
  warned: 'identified, with warnings',
  refused: 'refused',
} as const;

function Verdict({
  recording,
  results,
}: {
  readonly recording: ListedRecording;
  readonly results: readonly ListedIdentification[];
}): ReactNode {
  if (recording.error)
    return (
      <span>
        <Sign kind="refuse" /> cannot be read
      </span>
    );
  const result = resultOf(recording, results);
  if (result?.verdict === undefined) return <span className="soft">not identified yet</span>;
  const isStale = result.staleBecause.length > 0;
  return (
    <span>
      {isStale ? (
        <Sign kind="stale" />
      ) : (
        result.verdict !== 'identified' && <Sign kind={result.verdict === 'refused' ? 'refuse' : 'warn'} />
      )}{' '}
      {isStale ? 'stale' : verdictWords[result.verdict]}
    </span>
  );
}
