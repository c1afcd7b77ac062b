import { useQuery, useQueryClient } from '@tanstack/react-query';
import { type ReactNode, useId, useState } from 'react';
import { problemOf } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import type { ListedRecording, Problem } from '../../api/types.js';
import { ProblemBox } from '../../components/FindingItem.js';
import { isVisit, usualVisit } from './address.js';
import { type IdentifyRequest, keepResult } from './useIdentified.js';

interface Props {
  readonly request: IdentifyRequest;
  readonly recording: ListedRecording;
  /** Is what is shown what would be kept? */
  readonly isReady: boolean;
}

/** Keeps the result under a visit, where board, line and programs take it from. */
export function KeepForm({ request, recording, isReady }: Props): ReactNode {
  const { drive } = request;
  const client = useQueryClient();
  const id = useId();
  const [visit, setVisit] = useState(() =>
    usualVisit(recording, drive, new Date().toLocaleDateString('sv-SE')),
  );
  const [kept, setKept] = useState<{ readonly request: string; readonly name: string }>();
  const [isKeeping, setKeeping] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  const listed = useQuery(queries.identifications());
  const others = (listed.data ?? []).filter((i) => i.drive === drive && i.visit === visit).length;
  const text = JSON.stringify(request.options);
  const isKept = kept?.request === `${visit} ${text}`;
  const keep = async (): Promise<void> => {
    setKeeping(true);
    setProblem(undefined);
    try {
      const name = await keepResult(request, visit);
      setKept({ request: `${visit} ${text}`, name });
      for (const key of ['identifications', 'board']) void client.invalidateQueries({ queryKey: [key] });
    } catch (error) {
      setProblem(problemOf(error));
    } finally {
      setKeeping(false);
    }
  };
  return (
    <>
      <form
        className="row keep"
        onSubmit={(e) => {
          e.preventDefault();
          void keep();
        }}
      >
        <label htmlFor={id}>as</label>
        <input
          id={id}
          type="text"
          aria-label="Visit"
          value={visit}
          spellCheck={false}
          aria-invalid={!isVisit(visit)}
          title="as-found, as-left or a day, 2026-11-28: letters, digits and hyphens"
          onChange={(e) => setVisit(e.target.value)}
        />
        <button
          type="submit"
          className="strong"
          disabled={!isReady || isKeeping || isKept || !isVisit(visit)}
        >
          {isKept ? 'Kept' : isKeeping ? 'Keeping …' : `Keep as ${visit}`}
        </button>
        <span className="soft" role="status">
          {isKept
            ? `identifications/${kept.name}.json`
            : others > 0 && isReady
              ? `beside ${others === 1 ? 'the one' : `the ${others}`} that ${others === 1 ? 'is' : 'are'} kept`
              : ''}
        </span>
      </form>
      {problem && <ProblemBox problem={problem} />}
    </>
  );
}
