import { type ReactNode, useEffect, useState } from 'react';
import type { Job } from '../../api/types.js';
import { Sign } from '../../components/Sign.js';

interface Props {
  readonly job: Job<unknown> | undefined;
  /** Something newer than what is shown is being computed. */
  readonly isBehind: boolean;
  readonly onCancel: () => void;
  readonly onAgain: () => void;
}

/** A computation that is shorter shows nothing: what comes at once should not flicker [ms]. */
const quiet = 400;

/** How far the identification is, what it does, and its end. It goes on when the page is loaded anew. */
export function JobBar({ job, isBehind, onCancel, onAgain }: Props): ReactNode {
  const [isLate, setLate] = useState(false);
  useEffect(() => {
    setLate(false);
    if (!isBehind) return;
    const timer = setTimeout(() => setLate(true), quiet);
    return () => clearTimeout(timer);
  }, [isBehind]);
  if (job?.state === 'cancelled')
    return (
      <div className="notice" role="status">
        <Sign kind="info" />
        <div className="row">
          <span>The identification was cancelled; nothing was changed.</span>
          <button type="button" onClick={onAgain}>
            Identify again
          </button>
        </div>
      </div>
    );
  if (!isBehind || !isLate) return null;
  const { done, total, words } = job?.progress ?? { done: 0, total: 1, words: 'waiting' };
  return (
    <div className="row job" role="status">
      <progress value={done} max={total} aria-label="Identification" />
      <span>
        Step {Math.min(done + 1, total)} of {total}: {words} …
      </span>
      <button type="button" onClick={onCancel}>
        Cancel
      </button>
    </div>
  );
}
