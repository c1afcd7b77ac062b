import { type ReactNode, useRef } from 'react';
import { remove } from '../../api/client.js';
import type { ImportResult, Job } from '../../api/types.js';
import { FindingList, ProblemBox } from '../../components/FindingItem.js';

interface Props {
  readonly job: Job<ImportResult>;
  readonly onBack: () => void;
}

/** How far an import is; when it ended without a recording, why. */
export function ImportProgress({ job, onBack }: Props): ReactNode {
  const { state, progress } = job;
  const started = useRef({ at: Date.now(), done: progress.done, words: progress.words });
  if (started.current.words !== progress.words)
    started.current = { at: Date.now(), done: progress.done, words: progress.words };
  // what follows the import itself: the recording is in the folder by then
  const isWritten = progress.words.startsWith('making');
  if (state === 'queued' || state === 'running')
    return (
      <section role="status" aria-label="Import">
        <h1>Importing</h1>
        <p>
          {progress.words}: {Math.floor((100 * progress.done) / Math.max(1, progress.total))} %
          <span className="soft">{remaining(started.current, progress)}</span>
        </p>
        <progress max={Math.max(1, progress.total)} value={progress.done} aria-label={progress.words} />
        <p className="soft">It goes on when this page is left or loaded anew.</p>
        {!isWritten && (
          <button type="button" onClick={() => void remove(`/api/jobs/${job.id}`)}>
            Cancel
          </button>
        )}
      </section>
    );
  return (
    <section aria-label="Import">
      <h1>{state === 'cancelled' ? 'The import was cancelled' : 'The import was refused'}</h1>
      {job.error && <ProblemBox problem={job.error} />}
      {job.result && <FindingList findings={job.result.findings} />}
      <p>
        {isWritten
          ? 'The recording itself was written before; it stands in the list.'
          : 'Nothing was written; the file still waits here as it was dropped.'}
      </p>
      {!isWritten && (
        <button type="button" className="strong" onClick={onBack}>
          Back to how it is read
        </button>
      )}
    </section>
  );
}

/** Time that is left, from how long the same step took so far; nothing before it can be told. */
export function remaining(
  since: { readonly at: number; readonly done: number },
  { done, total }: { readonly done: number; readonly total: number },
  now = Date.now(),
): string {
  const [ms, share] = [now - since.at, (done - since.done) / Math.max(1, total - since.done)];
  if (ms < 2000 || !(share > 0.02)) return '';
  const seconds = (ms * (1 - share)) / share / 1000;
  return seconds < 90
    ? `, about ${Math.ceil(seconds)} s left`
    : `, about ${Math.ceil(seconds / 60)} min left`;
}
