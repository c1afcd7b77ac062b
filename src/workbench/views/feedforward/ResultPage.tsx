import { type ReactNode, useDeferredValue, useEffect, useMemo, useState } from 'react';
import { Link, useSearchParams } from 'wouter';
import type { Identification } from '../../../engine/identify/identification.js';
import type { Drive } from '../../../engine/line/drive.js';
import type { IdentificationDocument } from '../../../engine/project/identification.js';
import type { ListedIdentification } from '../../api/types.js';
import { FindingList, ProblemBox } from '../../components/FindingItem.js';
import { FigurePlot } from '../../components/plot/FigurePlot.js';
import { Sign } from '../../components/Sign.js';
import { useUnits } from '../../state/units.js';
import { addressOf } from '../addresses.js';
import { readAddress, withChanges } from './address.js';
import { curveFigure } from './curveFigure.js';
import { FeedForwardTables } from './FeedForwardTables.js';
import { make } from './made.js';
import { PlayPanel } from './PlayPanel.js';
import { SidePanel } from './SidePanel.js';
import { torqueUnit } from './torqueUnit.js';

interface Props {
  readonly result: ListedIdentification;
  readonly document: IdentificationDocument;
  readonly id: Identification;
  readonly drive: Drive;
  readonly driveName: string;
}

/** How long a slider rests before the address takes its place up [ms]. */
const settled = 250;

export function ResultPage({ result, document, id, drive, driveName }: Props): ReactNode {
  const units = useUnits();
  const [search, setSearch] = useSearchParams();
  const address = readAddress(search);
  const [tolerance, setTolerance] = useState(address.tolerance);
  const isMoving = tolerance !== address.tolerance;
  const set = (changes: Readonly<Record<string, string | undefined>>): void =>
    setSearch((before) => withChanges(before, changes), { replace: true });

  // the page follows the slider at once, the address when it has come to rest
  useEffect(() => {
    if (!isMoving) return;
    const timer = setTimeout(
      () => setSearch((before) => withChanges(before, { tolerance: String(tolerance) }), { replace: true }),
      settled,
    );
    return () => clearTimeout(timer);
  }, [isMoving, tolerance, setSearch]);
  // an address that was opened or gone back to
  useEffect(() => setTolerance(address.tolerance), [address.tolerance]);

  const shown = useDeferredValue(tolerance);
  const made = useMemo(
    () => make(id, drive, shown, address.acceleration),
    [id, drive, shown, address.acceleration],
  );
  const torque = torqueUnit(units, drive.ratedTorque, address.isPercent);
  const isAsLeft = /as-left/.test(result.visit);
  const figure = useMemo(
    () =>
      'problem' in made
        ? undefined
        : curveFigure(made, {
            units,
            torque: torqueUnit(units, drive.ratedTorque, address.isPercent),
            drive,
            isAsLeft,
          }),
    [made, units, drive, address.isPercent, isAsLeft],
  );
  const identify = addressOf({
    view: 'identify',
    parameters: { drive: driveName, identification: `identifications/${result.name}.json` },
  });
  const file = `feed-forward-${driveName}-${result.visit}`;
  return (
    <>
      {result.staleBecause.length > 0 && (
        <div className="notice" role="status">
          <Sign kind="stale" label="Stale" />
          <div>
            <p>No longer holds: {result.staleBecause.map((b) => b.message).join('; ')}.</p>
            <p className="soft">
              What is shown is the old result.{' '}
              {identify === undefined ? (
                'Next: identify anew.'
              ) : (
                <Link href={identify}>Next: identify anew</Link>
              )}
            </p>
          </div>
        </div>
      )}
      {'problem' in made ? (
        <>
          <ProblemBox problem={made.problem} />
          <button type="button" onClick={() => setTolerance(0.01)}>
            Back to 1 %
          </button>
        </>
      ) : (
        <>
          <div className="columns">
            <section aria-label="Table and curve">
              {figure && made.directions.length > 0 && <FigurePlot figure={figure} fileName={file} />}
              <FeedForwardTables made={made} drive={drive} torque={torque} />
              {made.feedForward.findings.length > 0 && (
                <section aria-label="Findings">
                  <FindingList findings={made.feedForward.findings} />
                </section>
              )}
            </section>
            <SidePanel
              made={made}
              drive={drive}
              document={document}
              result={result}
              torque={torque}
              tolerance={tolerance}
              acceleration={address.acceleration}
              isPercent={address.isPercent}
              onTolerance={setTolerance}
              onChange={set}
            />
          </div>
          {made.directions.length > 0 && (
            <PlayPanel
              result={result}
              document={document}
              address={address}
              ratedOffset={made.feedForward.offsetLeftOut}
              fileName={file}
              onChange={set}
            />
          )}
        </>
      )}
    </>
  );
}
