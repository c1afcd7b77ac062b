import type { Finding } from '../findings.js';

/** What is asked of a result, as it was made or as its document says. */
interface Result {
  readonly verdict: 'identified' | 'refused' | string;
  readonly findings: readonly Pick<Finding, 'code'>[];
}

/** Was the web on when it was recorded? Not a relation [1]. Source: docs/models/production.md. */
export const hadWebOn = ({ findings }: Pick<Result, 'findings'>): boolean =>
  findings.some((f) => f.code === 'web_on');

/**
 * May a result stand for its drive in line, feed-forward and programs? One that was refused says nothing, and one with the web on states an apparent
 * drag, which holds what the web pulled. Not a relation [1]. Source: docs/board.md.
 */
export const standsForDrive = (result: Result): boolean => result.verdict !== 'refused' && !hadWebOn(result);
