import type { RollPrediction } from '../../program/roll/predictRoll.js';
import type { Format } from '../format.js';
import type { Figure, LineMark } from '../svg/figure.js';
import { type RollState, rollStates } from './afterWords.js';

/** Steps that are told apart by their line; of more, the latest are drawn. */
const mostSteps = 3;

/**
 * Pressure and stress along the web over the radius: as wound, dashed, and after each step, the last one solid; and what has changed since winding. Undefined where no step is stated.
 */
export function afterFigure(
  id: string,
  roll: RollPrediction,
  format: Pick<Format, 'samples' | 'axis' | 'withUnit'>,
): Figure | undefined {
  const [wound, ...steps] = rollStates(roll, format.withUnit);
  if (steps.length === 0) return undefined;
  const drawn = [wound, ...steps.slice(-mostSteps)];
  const radius = format.samples('length', roll.radius);
  const meaningOf = (k: number): LineMark['meaning'] =>
    k === drawn.length - 1
      ? 'model'
      : ((['reference', 'second-reference', 'third-reference'] as const)[k] ?? 'reference');
  const lines = (signal: 'neutral' | 'tension', of: (state: RollState) => Float64Array): LineMark[] =>
    drawn.map((state, k) => ({
      kind: 'line',
      meaning: meaningOf(k),
      signal,
      x: radius,
      y: format.samples('pressure', of(state)),
      label: state.words,
    }));
  /** Against the roll as wound, in the lines of the steps: what happens is small beside what there is. */
  const changes = (signal: 'neutral' | 'tension', of: (state: RollState) => Float64Array): LineMark[] => {
    const before = of(wound);
    return lines(signal, (state) => of(state).map((v, i) => v - (before[i] as number))).slice(1);
  };
  return {
    id: `${id}-after`,
    title: 'What happens to the roll after winding',
    description: `Pressure between laps and stress along the web over the radius, and their changes since winding: ${drawn.map((s) => s.words).join('; then ')}.`,
    x: { label: format.axis('Radius', 'r', 'length') },
    panels: [
      {
        y: { label: format.axis('Pressure between laps', 'P', 'pressure'), include: [0] },
        height: 130,
        marks: [
          ...lines('neutral', (s) => s.pressure),
          ...(steps.some((s) => s.loosensAt !== undefined)
            ? [{ kind: 'limit' as const, from: Number.NEGATIVE_INFINITY, to: 0, label: 'laps are loose' }]
            : []),
        ],
      },
      {
        y: { label: format.axis('Change of pressure since winding', 'ΔP', 'pressure'), include: [0] },
        height: 100,
        marks: changes('neutral', (s) => s.pressure),
      },
      {
        y: { label: format.axis('Stress along the web', 'σ', 'pressure'), include: [0] },
        height: 130,
        marks: lines('tension', (s) => s.hoopStress),
      },
      {
        y: { label: format.axis('Change of stress since winding', 'Δσ', 'pressure'), include: [0] },
        height: 100,
        marks: changes('tension', (s) => s.hoopStress),
      },
    ],
  };
}

/** What a caption has to say of the lines that are not drawn. */
export const afterCaption = ({ after }: RollPrediction): string =>
  after.length > mostSteps
    ? `As wound and after the last ${mostSteps} of ${after.length} steps; the table has them all.`
    : '';
