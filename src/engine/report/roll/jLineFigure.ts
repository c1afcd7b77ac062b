import type { JLine } from '../../program/roll/jLines.js';
import { handlingWords } from '../../program/roll/judgeSlip.js';
import type { RollPrediction } from '../../program/roll/predictRoll.js';
import type { Format } from '../format.js';
import type { Figure, LineMark, Panel } from '../svg/figure.js';
import { shiftUnit } from './shiftUnit.js';

const meanings = ['model', 'reference', 'second-reference', 'third-reference'] as const;
/** Lines whose jumps are drawn; the table names those of all. */
const mostWithJumps = 2;

/**
 * Lines on the side of the roll as they stand: the shift along the circumference over the radius, elastic for all lines, and what the slip of each way of handling adds. All on the scale that is written beside, nothing exaggerated. Undefined where no line is stated.
 */
export function jLineFigure(
  id: string,
  { jLines }: RollPrediction,
  format: Pick<Format, 'samples' | 'axis' | 'withUnit'>,
): Figure | undefined {
  if (jLines.length === 0) return undefined;
  const unit = shiftUnit(format);
  const axis = `Shift in winding direction, d [${unit.label}]`;
  const struck = (line: JLine): string => `struck at ${format.withUnit('length', line.struckAt)}`;
  const mark = (
    line: JLine,
    meaning: LineMark['meaning'],
    label: string,
    jump?: JLine['steps'][number],
  ): LineMark => {
    const { radius, shift } = jump === undefined ? elastic(line) : withJump(line, jump);
    return {
      kind: 'line',
      meaning,
      signal: 'neutral',
      x: format.samples('length', radius),
      y: Float64Array.from(shift, unit.of),
      label,
    };
  };
  return {
    id: `${id}-j-line`,
    title: 'Lines on the side of the roll',
    description: `How lines struck on the side of the roll at ${jLines.map((l) => format.withUnit('length', l.struckAt)).join(', ')} stand when it is full: their shift along the circumference over the radius, in winding direction, against their ends.`,
    x: { label: format.axis('Radius', 'r', 'length') },
    panels: [
      {
        y: { label: `Elastic: ${axis.toLowerCase()}`, include: [0] },
        height: 130,
        marks: jLines.slice(0, meanings.length).map((l, k) => mark(l, meanings[k] ?? 'model', struck(l))),
      },
      ...slippedAlike(jLines)
        .slice(0, mostWithJumps)
        .map(([line, ...others]): Panel => {
          const at = [line, ...others].map((l) => format.withUnit('length', l.struckAt)).join(' and ');
          return {
            y: { label: `Struck at ${at}, slipped: d [${unit.label}]`, include: [0] },
            height: 130,
            marks: jumps(line)
              .slice(0, meanings.length)
              .map((jump, k) =>
                mark(
                  line,
                  meanings[k] ?? 'model',
                  `${handlingWords[jump.name]}: ${unit.text(jump.arc)} ${unit.label} at ${format.withUnit('length', jump.radius)}`,
                  jump,
                ),
              ),
          };
        }),
    ],
  };
}

/** What its caption has to say: what goes back, what does not, and what is not drawn. */
export function jLineCaption(
  { jLines }: RollPrediction,
  format: Pick<Format, 'samples' | 'axis' | 'withUnit'>,
): string {
  const far = [
    ...new Set(
      jLines.flatMap((l) => l.steps.filter((s) => !Number.isFinite(s.arc)).map((s) => handlingWords[s.name])),
    ),
  ];
  const some = jLines.flatMap((l) => l.steps).some((s) => Number.isFinite(s.arc));
  const many =
    jLines.length > meanings.length
      ? ` The first ${meanings.length} of ${jLines.length} lines are drawn.`
      : '';
  return [
    `Shifts are drawn as they are, on the scale beside them; the elastic hook${hookWords(jLines, format)} goes back with the torque.${many}`,
    ...(some
      ? ['A step is where layers have slid at the worst diameter after the line was struck, and stays.']
      : []),
    ...(far.length > 0 ? [`More than a turn, and so not drawn: ${far.join(', ')}.`] : []),
    ...(some || far.length > 0 ? [] : ['No layers slide in what is stated, so there is no step.']),
  ].join(' ');
}

function hookWords(lines: readonly JLine[], format: Pick<Format, 'samples' | 'axis'>): string {
  const unit = shiftUnit(format);
  const most = lines.reduce((m, l) => l.elasticShift.reduce((a, d) => Math.max(a, Math.abs(d)), m), 0);
  return ` of at most ${unit.text(most)} ${unit.label}`;
}

/** The jumps of a line that can be drawn, the longest first. */
const jumps = ({ steps }: JLine): JLine['steps'] =>
  steps.filter((s) => Number.isFinite(s.arc)).sort((a, b) => b.arc - a.arc);

/** Lines that have slipped, those with the same jumps together. */
function slippedAlike(lines: readonly JLine[]): [JLine, ...JLine[]][] {
  const alike = new Map<string, [JLine, ...JLine[]]>();
  for (const line of lines) {
    const own = jumps(line);
    if (own.length === 0) continue;
    const key = own.map(({ name, radius, arc }) => `${name} ${radius} ${arc}`).join();
    const group = alike.get(key);
    if (group === undefined) alike.set(key, [line]);
    else group.push(line);
  }
  return [...alike.values()];
}

interface Shifted {
  readonly radius: readonly number[];
  readonly shift: readonly number[];
}

const elastic = ({ radius, elasticShift }: JLine): Shifted => ({
  radius: [...radius],
  shift: [...elasticShift],
});

/** What lies inside the interface turns as one against what lies outside, so its shift falls with the radius. */
function withJump(
  { radius, elasticShift }: JLine,
  { radius: at, arc, direction }: JLine['steps'][number],
): Shifted {
  const inside = (r: number): number => (direction * arc * r) / at;
  const k = radius.findIndex((r) => r >= at);
  const [r, d] = [[...radius], [...elasticShift]];
  const here = d[k] ?? 0;
  return {
    radius: [...r.slice(0, k), at, ...r.slice(k)],
    shift: [...d.slice(0, k).map((v, i) => v + inside(r[i] as number)), here + inside(at), ...d.slice(k)],
  };
}
