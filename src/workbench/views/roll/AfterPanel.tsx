import { type ReactNode, useMemo } from 'react';
import type { RollPrediction } from '../../../engine/program/roll/predictRoll.js';
import { shortNumber } from '../../../engine/report/format.js';
import { afterCaption, afterFigure } from '../../../engine/report/roll/afterFigure.js';
import { type RollState, rollStates } from '../../../engine/report/roll/afterWords.js';
import { airFigure } from '../../../engine/report/roll/airFigure.js';
import { type Column, DataTable } from '../../components/DataTable.js';
import { FigurePlot } from '../../components/plot/FigurePlot.js';
import { axisFormat, useUnits } from '../../state/units.js';

interface Props {
  readonly prediction: RollPrediction;
  readonly name: string;
}

/** What the steps after winding do to a roll; nothing where none is stated. */
export function AfterPanel({ prediction, name }: Props): ReactNode {
  const units = useUnits();
  const figure = useMemo(
    () => afterFigure('roll', prediction, { ...axisFormat(units), withUnit: units.withUnit }),
    [prediction, units],
  );
  if (figure === undefined) return null;
  const pressure = (heading: string, of: (s: RollState) => number): Column<RollState> => ({
    name: heading,
    unit: units.unit('pressure').label,
    isNumber: true,
    text: (s) => units.number('pressure', of(s)),
  });
  const columns: Column<RollState>[] = [
    { name: 'Step', text: (s) => s.words },
    pressure('At the core', (s) => s.corePressure),
    pressure('Highest', (s) => s.highestPressure),
    {
      name: 'Slip margin',
      isNumber: true,
      text: (s) => (s.smallestSlip === undefined ? '–' : shortNumber(s.smallestSlip)),
    },
    {
      name: 'Loose at radius',
      unit: units.unit('length').label,
      isNumber: true,
      text: (s) => (s.loosensAt === undefined ? '–' : units.number('length', s.loosensAt)),
    },
  ];
  const caption = afterCaption(prediction);
  return (
    <section aria-labelledby="after-title">
      <h2 id="after-title">After winding</h2>
      <FigurePlot figure={figure} fileName={`${name}, after winding`} />
      {caption !== '' && <p className="soft">{caption}</p>}
      <DataTable
        caption="As wound and after each step"
        columns={columns}
        rows={rollStates(prediction, units.withUnit)}
        rowKey={(s) => s.words}
      />
    </section>
  );
}

/** The air between the laps of a roll; nothing where it has none. */
export function AirPanel({ prediction, name }: Props): ReactNode {
  const units = useUnits();
  const figure = useMemo(() => airFigure('roll', prediction, axisFormat(units)), [prediction, units]);
  if (figure === undefined) return null;
  return (
    <section aria-labelledby="air-title">
      <h2 id="air-title">Air between the laps</h2>
      <FigurePlot figure={figure} fileName={`${name}, air`} />
    </section>
  );
}
