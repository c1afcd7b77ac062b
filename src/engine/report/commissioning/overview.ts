import type { Verdict } from '../../findings.js';
import type { DragPoint, Identification } from '../../identify/identification.js';
import type { Format } from '../format.js';
import type { Cell, Table } from '../reportTree.js';
import type { CommissionedDrive } from './input.js';
import { halfWidth, missingCell } from './tables.js';
import { elementWords, verdictWords } from './words.js';

const tones = { identified: 'good', warned: 'warn', refused: 'refuse' } as const satisfies Record<
  Verdict,
  string
>;

/** One row a drive, one column a fact: the value with its uncertainty, or the reason why it is missing. */
export function overviewTable(
  drives: readonly CommissionedDrive[],
  anchors: readonly string[],
  format: Format,
): Table {
  const torque = format.unit('torque');
  return {
    caption: 'At the motor shaft. ± is the half width of the 95 % interval.',
    columns: [
      { heading: 'Drive', align: 'text' },
      { heading: 'Result', align: 'text' },
      { heading: 'Inertia', unit: format.unit('inertia'), align: 'number' },
      { heading: 'Breakaway', unit: torque, align: 'number' },
      { heading: 'Drag, lowest', unit: torque, align: 'number' },
      { heading: 'Drag, middle', unit: torque, align: 'number' },
      { heading: 'Drag, top', unit: torque, align: 'number' },
    ],
    rows: drives.map((d, k) => row(d, anchors[k] ?? '', format)),
  };
}

function row({ drive, identification }: CommissionedDrive, anchor: string, format: Format): Cell[] {
  const { breakaway } = identification.estimates;
  return [
    { text: drive.name, note: elementWords[drive.element], to: anchor },
    { text: verdictWords[identification.verdict], tone: tones[identification.verdict] },
    inertiaCell(identification, format),
    breakaway
      ? { text: format.pair('torque', breakaway.value, halfWidth(breakaway)) }
      : missingCell(identification, 'breakaway'),
    ...dragCells(identification, format),
  ];
}

function inertiaCell(identification: Identification, format: Format): Cell {
  const { inertia } = identification.estimates;
  if (inertia) return { text: format.pair('inertia', inertia.value, halfWidth(inertia)) };
  const over = identification.inertiaOverDiameter;
  const [first, last] = [over?.at(0), over?.at(-1)];
  if (!first || !last) return missingCell(identification, 'inertia');
  return {
    text: `${format.number('inertia', first.inertia)} to ${format.number('inertia', last.inertia)}`,
    note: `over diameter ${format.number('length', first.diameter)} to ${format.withUnit('length', last.diameter)}`,
  };
}

/** Three entries of the drag curve as it stands: lowest, middle and highest speed. Nothing is interpolated. */
function dragCells(identification: Identification, format: Format): Cell[] {
  const apparent = identification.dragCurve === undefined ? 'web on, ' : '';
  const points = preferred(identification.dragCurve ?? identification.apparentDragCurve ?? []);
  if (points.length === 0) {
    const missing = missingCell(identification, 'coulomb', 'viscous');
    return [missing, { text: 'missing', tone: 'missing' }, { text: 'missing', tone: 'missing' }];
  }
  return [0, Math.floor((points.length - 1) / 2), points.length - 1].map((i) => {
    const p = points[i] as DragPoint;
    return {
      text: format.pair('torque', p.torque, p.halfWidth95),
      note: `${apparent}at ${format.withUnit('angularSpeed', p.speed)}`,
    };
  });
}

/** The fit where there is one, else what was measured, in order of speed. */
function preferred(points: readonly DragPoint[]): DragPoint[] {
  const fit = points.filter((p) => p.from === 'fit');
  return (fit.length > 0 ? fit : [...points]).toSorted((a, b) => a.speed - b.speed);
}
