import type { ReactNode } from 'react';
import { Link } from 'wouter';
import type { Finding } from '../../engine/findings.js';
import { testWords } from '../../engine/report/testSheet/sheetWords.js';
import { testsFor } from '../../engine/report/testSheet/testFor.js';
import { addressOf } from '../views/addresses.js';

/** Links to the test sheets of the recordings that would put findings right; nothing where there is none. */
export function TestSheetLinks({
  findings,
  drive,
}: {
  readonly findings: readonly Pick<Finding, 'code'>[];
  /** Name of the drive, as its file is called. */
  readonly drive: string | undefined;
}): ReactNode {
  const tests = testsFor(findings.map((f) => f.code));
  if (tests.length === 0) return null;
  return (
    <p>
      How to record what is missing:{' '}
      {tests.map((test, k) => (
        <span key={test}>
          {k > 0 && ', '}
          <Link
            href={
              addressOf({
                view: 'test-sheet',
                parameters: { ...(drive !== undefined && { drive }), test },
              }) ?? '#'
            }
          >
            {testWords[test].title.toLowerCase()}
          </Link>
        </span>
      ))}
    </p>
  );
}
