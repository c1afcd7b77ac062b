import { memo, type ReactNode, useMemo } from 'react';
import type { Drive } from '../../../engine/line/drive.js';
import {
  breakawayFigure,
  inertiaFigure,
  residualFigures,
} from '../../../engine/report/commissioning/figures.js';
import { FormulaToggle } from '../../components/FormulaToggle.js';
import { FigurePlot } from '../../components/plot/FigurePlot.js';
import { useUnits } from '../../state/units.js';
import { BreakawayTable, RampPairTable } from './DetailTables.js';
import { dragPlot, type NamedResult, plateauPoints } from './figures.js';
import { formatOf } from './shown.js';
import { segmentAt, segmentId } from './stretches.js';

interface Props {
  readonly drive: Drive;
  readonly driveName: string;
  /** What is shown. */
  readonly shown: NamedResult;
  /** The two results that are laid over each other; the shown one is one of them. */
  readonly over?: { readonly earlier: NamedResult; readonly later: NamedResult };
  readonly lit: string | undefined;
  readonly onLight: (id: string | undefined) => void;
}

/** Drag over speed with its points, what the model leaves, and the other measurements as plots. Drawn anew only when they change. */
export const Plots = memo(PlotsOf);

function PlotsOf({ drive, driveName, shown, over, lit, onLight }: Props): ReactNode {
  const units = useUnits();
  const { identification } = shown;
  const format = useMemo(() => formatOf(units), [units]);
  const drag = useMemo(
    () => dragPlot(drive, over?.later ?? shown, over?.earlier, format),
    [drive, shown, over, format],
  );
  const points = useMemo(
    () => (drag === undefined ? [] : plateauPoints(identification, drag, format)),
    [identification, drag, format],
  );
  const residuals = useMemo(
    () => residualFigures('identify', identification, format),
    [identification, format],
  );
  const breakaway = useMemo(
    () => breakawayFigure('identify', identification, 'as-found', format),
    [identification, format],
  );
  const inertia = useMemo(
    () => inertiaFigure('identify', identification, 'as-found', format),
    [identification, format],
  );
  const file = `identify-${driveName}`;
  const lightAtTime = (t: number | undefined): void => {
    const k = t === undefined ? -1 : segmentAt(identification.segments, t);
    onLight(k < 0 ? undefined : segmentId(k));
  };
  return (
    <section aria-label="Plots">
      <h2>Drag over speed</h2>
      {drag ? (
        <>
          <FigurePlot figure={drag} fileName={`${file}-drag`} points={points} lit={lit} onLight={onLight} />
          <FormulaToggle
            words="Formula of the drag"
            tex={[
              'M(\\omega) = T_c + T_s\\,e^{-(\\omega/\\omega_s)^{\\delta}} + B\\,\\omega + K\\,\\omega^2',
              'M_{\\text{plateau}} = \\overline{T - T_0 - T_{\\text{ripple}} - J\\,\\dot\\omega}',
              'h(\\omega) = t_{0.975}\\sqrt{g^{\\mathsf T} C\\,g},\\quad g = \\partial M/\\partial\\theta',
            ]}
          >
            M drag and T torque at the motor, ω its speed, T꜀ Coulomb, Tₛ extra drag towards standstill, B
            viscous, K windage, T₀ offset, C covariance of the fit. Valid within the speeds that were
            recorded. Terms that the recording does not support are left out. docs/models/drive.md and
            docs/models/drag.md; band after JCGM 100 (from memory).
          </FormulaToggle>
        </>
      ) : (
        <p className="soft">This recording gives no drag curve.</p>
      )}
      <RampPairTable identification={identification} onLight={onLight} />
      {inertia && (
        <>
          <h2>Inertia over diameter</h2>
          <FigurePlot figure={inertia} fileName={`${file}-inertia`} />
        </>
      )}
      {residuals && (
        <>
          <h2>What the model leaves</h2>
          {residuals.figures.map((figure, k) => (
            <FigurePlot
              key={figure.id}
              figure={figure}
              fileName={`${file}-residual-${k === 0 ? 'time' : 'speed'}`}
              {...(k === 0 && { onPick: lightAtTime })}
            />
          ))}
          <p className="soft">
            {identification.residual &&
              `Root mean square ${units.withUnit('torque', identification.residual.rms)}; neighbours follow one another over ${units.withUnit('time', Number(identification.residual.autocorrelationTime.toPrecision(2)))}.`}
            {residuals.outside}
          </p>
        </>
      )}
      {breakaway && (
        <>
          <h2>Breakaway</h2>
          <FigurePlot figure={breakaway} fileName={`${file}-breakaway`} onPick={lightAtTime} />
          <BreakawayTable identification={identification} onLight={onLight} />
          <FormulaToggle
            words="Formula of the breakaway torque"
            tex={['A = s\\,\\bigl(T(t_0) - T_0 - T_{\\text{ripple}}(\\varphi)\\bigr)']}
          >
            A torque magnitude at which motion starts, t₀ the start of motion, T₀ offset, φ angle of the
            shaft, s direction. The onset is found from the motion after it, so that the lag of the first
            moving sample does not count as breakaway. It depends on the rest before and on how fast the
            torque rises. docs/models/breakaway.md.
          </FormulaToggle>
        </>
      )}
    </section>
  );
}
