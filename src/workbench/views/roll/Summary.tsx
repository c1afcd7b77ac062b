import { Fragment, type ReactNode } from 'react';
import type { RollPrediction } from '../../../engine/program/roll/predictRoll.js';
import { rollFacts } from '../../../engine/report/roll/rollFacts.js';
import { useUnits } from '../../state/units.js';

/** A roll in a few numbers, as the report states them. */
export function Summary({ prediction }: { readonly prediction: RollPrediction }): ReactNode {
  const units = useUnits();
  return (
    <dl className="facts even">
      {rollFacts(prediction, units).map(({ label, value }) => (
        <Fragment key={label}>
          <dt>{label}</dt>
          <dd>{value}</dd>
        </Fragment>
      ))}
    </dl>
  );
}
