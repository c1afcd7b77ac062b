import type { ReactNode } from 'react';
import type { Where } from '../../engine/errors.js';
import type { Finding } from '../../engine/findings.js';
import type { Problem } from '../api/types.js';
import { Sign } from './Sign.js';

const severityWords = { refuse: 'Refused', warn: 'Warning', info: 'Remark' } as const;

interface Props {
  readonly finding: Pick<Finding, 'severity' | 'message' | 'next' | 'code' | 'where'>;
  /** Opens the place that it is about. */
  readonly onOpen?: () => void;
  /** What the button says. */
  readonly openWords?: string;
}

/** The first letter of a sentence, unless the sentence begins with the name of a file. */
export const capital = (text: string): string =>
  /^\S*[./_]\S/.test(text) ? text : text.charAt(0).toUpperCase() + text.slice(1);

/** Where in a file, as far as it is stated. */
const placeIn = (where: Where): string =>
  (['file', 'line', 'key', 'row', 'column'] as const)
    .filter((key) => where[key] !== undefined)
    .map((key) => (key === 'file' ? String(where[key]) : `${key} ${String(where[key])}`))
    .join(', ');

/** A finding as a colleague would say it: what, where, what to do next. */
export function FindingItem({ finding, onOpen, openWords = 'Show' }: Props): ReactNode {
  const { severity, message, next, where } = finding;
  const place = placeIn(where);
  return (
    <li className={`finding ${severity}`}>
      <Sign kind={severity} label={severityWords[severity]} />
      <div>
        <p>{capital(message)}.</p>
        <p className="soft">
          Next: {next}.{place !== '' && <span> ({place})</span>}
        </p>
        {onOpen && (
          <button type="button" className="quiet" onClick={onOpen}>
            {openWords}
          </button>
        )}
      </div>
    </li>
  );
}

/** Findings, the worst first. */
export function FindingList({
  findings,
  onOpen,
  openWords,
}: {
  readonly findings: readonly Finding[];
  readonly onOpen?: (finding: Finding) => (() => void) | undefined;
  readonly openWords?: (finding: Finding) => string | undefined;
}): ReactNode {
  const order = { refuse: 0, warn: 1, info: 2 };
  const sorted = [...findings].sort((a, b) => order[a.severity] - order[b.severity]);
  return (
    <ul className="findings">
      {sorted.map((finding, k) => {
        const open = onOpen?.(finding);
        const words = openWords?.(finding);
        return (
          <FindingItem
            key={`${finding.code} ${k}`}
            finding={finding}
            {...(open && { onOpen: open })}
            {...(words !== undefined && { openWords: words })}
          />
        );
      })}
    </ul>
  );
}

/** An error with its next step. */
export function ProblemBox({
  problem,
  children,
}: {
  readonly problem: Problem;
  readonly children?: ReactNode;
}): ReactNode {
  const place = placeIn(problem.where);
  return (
    <div className="notice" role="alert">
      <Sign kind="refuse" />
      <div>
        <p>{capital(problem.message)}.</p>
        {problem.next !== '' && (
          <p className="soft">
            Next: {problem.next}.{place !== '' && <span> ({place})</span>}
          </p>
        )}
        {children}
      </div>
    </div>
  );
}

/** What belongs here, how to get it. */
export function EmptyState({
  title,
  children,
}: {
  readonly title: string;
  readonly children: ReactNode;
}): ReactNode {
  return (
    <div className="empty">
      <h2>{title}</h2>
      {children}
    </div>
  );
}
