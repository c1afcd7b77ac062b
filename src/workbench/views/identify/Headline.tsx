import type { ReactNode } from 'react';
import type { Identification } from '../../../engine/identify/identification.js';
import { parameterQuantity } from '../../../engine/identify/parameterQuantity.js';
import { verdictWords } from '../../../engine/report/commissioning/words.js';
import { Sign } from '../../components/Sign.js';
import { useUnits } from '../../state/units.js';

const shown = [
  ['inertia', 'Inertia'],
  ['coulomb', 'Coulomb drag'],
  ['viscous', 'Viscous drag'],
  ['breakaway', 'Breakaway'],
] as const;

/** What came of it, in one line that stays in sight while stretches are taken out and in. */
export function Headline({
  identification,
  isBehind,
}: {
  readonly identification: Identification;
  readonly isBehind: boolean;
}): ReactNode {
  const units = useUnits();
  const { verdict, estimates } = identification;
  return (
    <p className="headline" aria-live="polite" aria-busy={isBehind}>
      <span>
        {verdict !== 'identified' && <Sign kind={verdict === 'refused' ? 'refuse' : 'warn'} />}{' '}
        {verdictWords[verdict]}
      </span>
      {shown.map(([name, words]) => {
        const e = estimates[name];
        if (e === undefined)
          return (
            <span key={name} className="soft">
              {words} –
            </span>
          );
        const pair = units.pair(parameterQuantity[name], e.value, 0.5 * (e.interval95[1] - e.interval95[0]));
        return (
          <span key={name} data-parameter={name}>
            <span className="soft">{words}</span> <strong>{pair.value}</strong>
            {pair.halfWidth && ` ± ${pair.halfWidth}`} {pair.unit}
          </span>
        );
      })}
      <span className="soft">at the motor shaft, ± 95 %</span>
    </p>
  );
}
