import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useMemo } from 'react';
import type { Estimate } from '../../../engine/identify/identification.js';
import type { PlayedDocument, PlayedStretchDocument } from '../../../engine/project/feedforwardPlay.js';
import type { IdentificationDocument } from '../../../engine/project/identification.js';
import { problemOf } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import type { ListedIdentification } from '../../api/types.js';
import { type Column, DataTable } from '../../components/DataTable.js';
import { FindingList, ProblemBox } from '../../components/FindingItem.js';
import { FormulaToggle } from '../../components/FormulaToggle.js';
import { FigurePlot } from '../../components/plot/FigurePlot.js';
import { Waiting } from '../../components/Waiting.js';
import { type NumberStyle, writeNumber } from '../../state/numberEntry.js';
import { useUnits } from '../../state/units.js';
import { type FeedForwardAddress, nameOf } from './address.js';
import {
  aroundStretch,
  kindWords,
  type PlayedUnit,
  playedUnit,
  playFigure,
  stretchAt,
} from './playFigure.js';

interface Props {
  readonly result: ListedIdentification;
  readonly document: IdentificationDocument;
  readonly address: FeedForwardAddress;
  readonly ratedOffset: Estimate | undefined;
  readonly fileName: string;
  readonly onChange: (changes: Readonly<Record<string, string | undefined>>) => void;
}

/** A recording played through the feed-forward: what the web would have felt without and with it. */
export function PlayPanel(props: Props): ReactNode {
  const { result, document, address, ratedOffset, onChange } = props;
  const { data: recordings } = useQuery(queries.recordings());
  const units = useUnits();
  if (recordings === undefined) return null;
  const own = recordings.find((r) => r.sha256 !== undefined && r.sha256 === document.inputs.sha256);
  const usual = own?.name ?? recordings.find((r) => r.name === nameOf(document.inputs.file))?.name;
  const name = address.recording ?? usual;
  const offered = recordings.filter((r) => r.drive === result.drive || r.name === name);
  return (
    <section className="play" aria-labelledby="play-title">
      <header className="toolbar">
        <h2 id="play-title">A recording played through it</h2>
        {offered.length > 0 && (
          <label className="row">
            Recording
            <select
              value={name ?? ''}
              onChange={(e) => onChange({ recording: e.target.value, from: undefined, to: undefined })}
            >
              {name === undefined && <option value="">choose</option>}
              {offered.map((r) => (
                <option key={r.name}>{r.name}</option>
              ))}
            </select>
          </label>
        )}
        <label className="row">
          <input
            type="checkbox"
            checked={address.removeOffset}
            onChange={(e) => onChange({ offset: e.target.checked ? 'off' : undefined })}
          />
          Take the torque offset off
          {ratedOffset && <span className="soft">({units.withUnit('torque', ratedOffset.value)})</span>}
        </label>
        <label className="row">
          <input
            type="checkbox"
            checked={address.flipTorque}
            onChange={(e) => onChange({ torque: e.target.checked ? 'turned' : undefined })}
          />
          Turn the sign of the torque
        </label>
        {address.from !== undefined && (
          <button type="button" onClick={() => onChange({ from: undefined, to: undefined })}>
            Whole recording
          </button>
        )}
      </header>
      {name === undefined ? (
        <p>
          {document.inputs.file}, which the result was made from, is not in the folder. Put a recording of
          this drive without web into exports/ to play it.
        </p>
      ) : (
        <Played key={name} {...props} recording={name} />
      )}
    </section>
  );
}

function Played({
  result,
  document,
  address,
  recording,
  fileName,
  onChange,
}: Props & { readonly recording: string }): ReactNode {
  const units = useUnits();
  const { tolerance, removeOffset, flipTorque, from, to } = address;
  const { data, error, isPlaceholderData } = useQuery(
    queries.played(result.name, {
      recording,
      tolerance: String(tolerance),
      ...(removeOffset && { removeOffset: 'true' }),
      ...(flipTorque && { flipTorque: 'true' }),
      ...(from !== undefined && to !== undefined && { from: String(from), to: String(to) }),
    }),
  );
  const figure = useMemo(() => (data === undefined ? undefined : playFigure(data, units)), [data, units]);
  if (error) return <ProblemBox problem={problemOf(error)} />;
  if (data === undefined) return <Waiting words="Playing the recording …" />;
  const show = (stretch: PlayedStretchDocument): void => {
    const part = aroundStretch(stretch, data);
    onChange({ from: part.from.toFixed(3), to: part.to.toFixed(3) });
  };
  const unit = playedUnit(units, data.forcePerTorque_per_m);
  return (
    <div aria-busy={isPlaceholderData}>
      {figure && (
        <FigurePlot
          figure={figure}
          fileName={`${fileName}-played`}
          onPick={(t) => {
            const stretch = stretchAt(data.stretches, t);
            if (stretch) show(stretch);
          }}
        />
      )}
      {data.findings.length > 0 && <FindingList findings={data.findings} />}
      {data.stretches.length > 0 && (
        <>
          <DataTable
            caption={`What the web would have felt ${data.forcePerTorque_per_m === undefined ? '(as torque at the motor: the drive file gives no roller diameter)' : ''}`}
            columns={[
              { name: 'In all', text: (s) => `${s.count} × ${kindWords[s.kind]}` },
              { name: 'Time', unit: 's', isNumber: true, text: (s) => units.number('time', s.duration_s) },
              ...pairColumns<PlayedDocument['summary'][number]>(unit, units.style),
            ]}
            rows={data.summary}
            rowKey={(s) => s.kind}
          />
          <p className="soft">
            Means over {units.withUnit('time', data.average_s)}, in which noise alone makes{' '}
            {unit.number(data.noise_Nm)} {unit.unit} (RMS). A force shorter than that was larger.
            {data.delay_s !== 0 &&
              ` The ${data.delay_s > 0 ? 'torque' : 'speed'} was taken to be ${writeNumber(Math.abs(1000 * data.delay_s), units.style, 2)} ms late, as in the identification.`}{' '}
            {data.recording.sha256 === document.inputs.sha256 &&
              'The result was made from this very recording: it shows how well the law fits, not whether it still holds. '}
            This is no prediction of web tension: stretch of the web, tension loop and other drives are not in
            it.
          </p>
          <FormulaToggle
            words="How it is computed"
            tex={[
              'F_{\\text{without}} = T\\,\\frac{i}{r}',
              'F_{\\text{with}} = \\left(T - J\\alpha - s\\,(M(|\\omega|) + A\\,f)\\right)\\frac{i}{r}',
            ]}
          >
            T recorded torque at the motor, 0 while the drive was off; the rest as above. All terms are means
            over one window with the same weights, for which the mean of α is the slope of the speed: nothing
            is differentiated. At rest friction takes up what the torque lacks. Valid for recordings without
            web. Torque balance of the roller; docs/models/feedforward.md, section 6.
          </FormulaToggle>
          <details>
            <summary>{data.stretches.length} stretches, one by one</summary>
            <DataTable
              caption="Stretches"
              columns={[
                {
                  name: 'Stretch',
                  text: (s) => kindWords[s.kind],
                  cell: (s) => (
                    <button type="button" className="quiet" onClick={() => show(s)}>
                      {kindWords[s.kind]}
                      <span className="hidden"> at {s.from_s.toFixed(1)} s</span>
                    </button>
                  ),
                },
                { name: 'From', unit: 's', isNumber: true, text: (s) => writeNumber(s.from_s, units.style) },
                { name: 'To', unit: 's', isNumber: true, text: (s) => writeNumber(s.to_s, units.style) },
                ...pairColumns<PlayedStretchDocument>(unit, units.style),
              ]}
              rows={data.stretches}
              rowKey={(s) => `${s.kind} ${s.from_s}`}
            />
          </details>
        </>
      )}
    </div>
  );
}

function pairColumns<Row extends Pick<PlayedStretchDocument, 'with' | 'without'>>(
  unit: PlayedUnit,
  style: NumberStyle,
): Column<Row>[] {
  const column = (which: 'without' | 'with', key: 'peak_Nm' | 'rms_Nm'): Column<Row> => ({
    name: `${key === 'peak_Nm' ? 'Peak' : 'RMS'} ${which}`,
    unit: unit.unit,
    isNumber: true,
    text: (row) => writeNumber(unit.value(row[which][key]), style, 3),
  });
  return [
    column('without', 'peak_Nm'),
    column('with', 'peak_Nm'),
    column('without', 'rms_Nm'),
    column('with', 'rms_Nm'),
  ];
}
