import { Fragment, type ReactNode } from 'react';
import type { RollPrediction } from '../../../engine/program/roll/predictRoll.js';
import { shortNumber } from '../../../engine/report/format.js';
import { type Units, useUnits } from '../../state/units.js';

/** A roll in a few numbers. */
export function Summary({ prediction: p }: { readonly prediction: RollPrediction }): ReactNode {
  const units = useUnits();
  return (
    <dl className="facts even">
      {factsOf(p, units).map(([what, value]) => (
        <Fragment key={what}>
          <dt>{what}</dt>
          <dd>{value}</dd>
        </Fragment>
      ))}
    </dl>
  );
}

/** What a roll amounts to, in words and numbers. */
export function factsOf(p: RollPrediction, units: Units): [what: string, value: string][] {
  const deceleration = (x: number): string =>
    Number.isFinite(x) ? units.withUnit('acceleration', x) : 'any deceleration';
  return [
    ['Pressure at the core', units.withUnit('pressure', p.corePressure)],
    ...(p.plateauPressure === undefined
      ? []
      : ([['in the middle of the build', units.withUnit('pressure', p.plateauPressure)]] as [
          string,
          string,
        ][])),
    [
      'Smallest hoop stress',
      `${units.withUnit('pressure', p.minimumHoopStress.value)} at a radius of ${units.withUnit('length', p.minimumHoopStress.radius)}`,
    ],
    ...p.slipCases
      .filter((c) => Number.isFinite(c.smallest.value))
      .map((c): [string, string] => [
        `Layers hold, ${c.name}`,
        `${shortNumber(c.smallest.value)} times what is asked, least at a radius of ${units.withUnit('length', c.smallest.radius)}`,
      ]),
    ...(p.largestDeceleration === undefined
      ? []
      : ([
          ['Braked at the core it holds up to', deceleration(p.largestDeceleration.webOn)],
          ['after a web break', deceleration(p.largestDeceleration.webBroken)],
        ] as [string, string][])),
    ...(p.frictionUsed === undefined
      ? []
      : ([['Friction, its low end', shortNumber(p.frictionUsed)]] as [string, string][])),
  ];
}
