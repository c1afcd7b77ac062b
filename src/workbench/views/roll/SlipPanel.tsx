import { type ReactNode, useMemo } from 'react';
import type { RollPrediction } from '../../../engine/program/roll/predictRoll.js';
import type { RollLimit } from '../../../engine/program/roll/rollLimits.js';
import { decelerationCaption, decelerationFigure } from '../../../engine/report/roll/decelerationFigure.js';
import { jLineCaption, jLineFigure } from '../../../engine/report/roll/jLineFigure.js';
import { shiftUnit, threeDigits } from '../../../engine/report/roll/shiftUnit.js';
import { slipDiameterCaption, slipDiameterFigure } from '../../../engine/report/roll/slipDiameterFigure.js';
import {
  keptWords,
  limitWords,
  type SlipRow,
  slideWords,
  slipRows,
} from '../../../engine/report/roll/slipRows.js';
import type { Figure } from '../../../engine/report/svg/figure.js';
import { type Column, DataTable } from '../../components/DataTable.js';
import { FigurePlot } from '../../components/plot/FigurePlot.js';
import { Sign } from '../../components/Sign.js';
import { axisFormat, useUnits } from '../../state/units.js';

interface Props {
  readonly prediction: RollPrediction;
  readonly name: string;
}

/** What a roll is held against, slip in every way of handling and at each diameter, and lines on its side. */
export function SlipPanel({ prediction, name }: Props): ReactNode {
  const units = useUnits();
  const { slip, stop, lines, captions } = useMemo(() => {
    const format = { ...axisFormat(units), withUnit: units.withUnit };
    return {
      slip: slipDiameterFigure('roll', prediction, format),
      stop: decelerationFigure('roll', prediction, format),
      lines: jLineFigure('roll', prediction, format),
      captions: {
        slip: slipDiameterCaption(prediction),
        stop: decelerationCaption(prediction, format),
        lines: jLineCaption(prediction, format),
      },
    };
  }, [prediction, units]);
  return (
    <>
      <section aria-labelledby="limits-title">
        <h2 id="limits-title">Limits</h2>
        <LimitTable prediction={prediction} />
      </section>
      <section aria-labelledby="slip-title">
        <h2 id="slip-title">Slip on the way and in a stop</h2>
        {slip === undefined && (
          <p>Slip is not judged: state friction and density of the web in the file, under web.</p>
        )}
        <SlipTable prediction={prediction} />
        <Plot figure={slip} caption={captions.slip} fileName={`${name}, slip on the way`} />
        <Plot figure={stop} caption={captions.stop} fileName={`${name}, stops it bears`} />
      </section>
      <section aria-labelledby="j-line-title">
        <h2 id="j-line-title">Lines on the side of the roll</h2>
        {lines === undefined && (
          <p className="soft">None is stated: enter a diameter under “Lines on its side”.</p>
        )}
        <Plot figure={lines} caption={captions.lines} fileName={`${name}, lines on its side`} />
      </section>
    </>
  );
}

function Plot({
  figure,
  caption,
  fileName,
}: {
  readonly figure: Figure | undefined;
  readonly caption: string;
  readonly fileName: string;
}): ReactNode {
  if (figure === undefined) return null;
  return (
    <>
      <FigurePlot figure={figure} fileName={fileName} />
      <p className="soft">{caption}</p>
    </>
  );
}

function LimitTable({ prediction }: Pick<Props, 'prediction'>): ReactNode {
  const units = useUnits();
  const columns: Column<RollLimit>[] = [
    { name: 'Limit of', text: (l) => limitWords[l.name] },
    {
      name: 'Reaches',
      unit: units.unit('pressure').label,
      isNumber: true,
      text: (l) => units.number('pressure', l.value),
    },
    {
      name: 'At radius',
      unit: units.unit('length').label,
      isNumber: true,
      text: (l) => units.number('length', l.radius),
    },
    {
      name: 'Limit',
      unit: units.unit('pressure').label,
      isNumber: true,
      text: (l) => (l.limit === undefined ? 'none stated' : units.number('pressure', l.limit)),
    },
    {
      name: 'Kept',
      text: keptWords,
      cell: (l) => (
        <>
          {l.isKept === false && <Sign kind={l.name === 'hoop stress' ? 'info' : 'warn'} />} {keptWords(l)}
        </>
      ),
    },
  ];
  return (
    <DataTable
      caption="What the roll is held against"
      columns={columns}
      rows={prediction.limits}
      rowKey={(l) => l.name}
    />
  );
}

function SlipTable({ prediction }: Pick<Props, 'prediction'>): ReactNode {
  const units = useUnits();
  const shift = shiftUnit(axisFormat(units));
  const number = (name: string, text: (r: SlipRow) => string, unit?: string): Column<SlipRow> => ({
    name,
    isNumber: true,
    text,
    ...(unit !== undefined && { unit }),
  });
  const margin = (x: number | undefined): string => (x === undefined ? '–' : threeDigits(x));
  const marked = (name: string, of: (r: SlipRow) => number | undefined): Column<SlipRow> => ({
    ...number(name, (r) => margin(of(r))),
    cell: (r) => (
      <>
        {(of(r) ?? 1) < 1 && <Sign kind="refuse" label="layers slip" />} {margin(of(r))}
      </>
    ),
  });
  const length = (x: number | undefined): string => (x === undefined ? '–' : units.number('length', x));
  const { label } = units.unit('length');
  const rows = slipRows(prediction);
  if (rows.length === 0) return null;
  const columns: Column<SlipRow>[] = [
    { name: 'Handling', text: (r) => r.name },
    marked('Full roll', (r) => r.full),
    marked('Smallest on the way', (r) => r.worst?.margin),
    number('At diameter', (r) => length(r.worst?.diameter), label),
    number(
      'Bears',
      ({ borne }) =>
        borne === undefined ? '–' : Number.isFinite(borne) ? units.number('acceleration', borne) : 'any',
      units.unit('acceleration').label,
    ),
    number('Slides by', ({ slide }) => (slide === undefined ? '–' : slideWords(slide, shift)), shift.label),
    number('At radius', ({ slide }) => length(slide?.radius), label),
  ];
  return (
    <DataTable
      caption="Slip margin in each way of handling"
      columns={columns}
      rows={rows}
      rowKey={(r) => r.name}
    />
  );
}
