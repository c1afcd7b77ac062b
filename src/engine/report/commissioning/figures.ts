import type { BreakawayEvent, DragPoint, Identification } from '../../identify/identification.js';
import type { Drive } from '../../line/drive.js';
import { type Format, shortNumber } from '../format.js';
import type { Figure, Mark, Panel, Span } from '../svg/figure.js';
import { kindWords } from './words.js';

/** Whether the drive was measured as it was found or as it is left: hollow or filled points. */
export type State = 'as-found' | 'as-left';

const fillOf = (state: State): 'hollow' | 'filled' => (state === 'as-found' ? 'hollow' : 'filled');

/** Speed and torque over time with the stretches that the identification made of them. */
export function traceFigure(id: string, identification: Identification, format: Format): Figure | undefined {
  const { trace } = identification;
  if (!trace) return undefined;
  const torque = format.samples('torque', trace.torque);
  const fitted = format.samples('torque', trace.torqueFitted);
  return {
    id: `${id}-trace`,
    title: 'Speed and torque over time',
    description: `Measured speed and torque at the motor with the torque of the fitted model, over ${identification.segments.length} stretches.`,
    x: { label: format.axis('Time', 't', 'time') },
    spans: spansOf(identification),
    panels: [
      {
        y: { label: format.axis('Speed at motor', 'ω', 'angularSpeed'), include: [0] },
        height: 150,
        marks: [
          {
            kind: 'trace',
            signal: 'speed',
            x: trace.time,
            y: format.samples('angularSpeed', trace.speed),
            label: 'measured',
          },
        ],
      },
      {
        y: { label: format.axis('Torque at motor', 'T', 'torque'), include: [0] },
        height: 210,
        marks: [
          { kind: 'trace', signal: 'torque', x: trace.time, y: torque, label: 'measured' },
          {
            kind: 'line',
            meaning: 'model',
            signal: 'neutral',
            x: trace.time,
            y: fitted,
            label: 'fitted model',
          },
        ],
      },
    ],
  };
}

function spansOf(identification: Identification): Span[] {
  return identification.segments.map((s) => ({
    from: s.from,
    to: s.to,
    tone: s.kind,
    isHatched: !s.used,
    letter: kindWords[s.kind].letter,
    label: kindWords[s.kind].label,
    title: `${kindWords[s.kind].label}, ${s.from.toFixed(2)} s to ${s.to.toFixed(2)} s: ${s.why}`,
  }));
}

/** Measured less fitted torque, over time and over speed: what the model leaves unexplained. */
export function residualFigures(
  id: string,
  identification: Identification,
  format: Format,
): { readonly figures: readonly Figure[]; readonly outside: string } | undefined {
  const { trace } = identification;
  if (!trace) return undefined;
  const { time, torque, torqueFitted } = trace;
  const residual = format.samples(
    'torque',
    torque.map((t, i) =>
      isInFit(identification, time[i] as number) ? t - (torqueFitted[i] as number) : Number.NaN,
    ),
  );
  const sizes = residual.filter(Number.isFinite).map(Math.abs).sort();
  const largest = sizes.at(-1);
  if (largest === undefined) return undefined;
  // At corners the plotted model is blurred; those few samples must not press the rest flat.
  // Ten medians are nearly seven standard deviations of normal noise, which is therefore never cut.
  const reach = 10 * (sizes[Math.floor(sizes.length / 2)] as number);
  const isCut = reach > 0 && largest > reach;
  const outside = isCut
    ? ` ${sizes.filter((v) => v > reach).length} of ${sizes.length} plotted samples lie outside the axis, the farthest ${shortNumber(Number(largest.toPrecision(2)))} ${format.unit('torque')} from zero. At corners the thinned trace blurs the plotted model.`
    : '';
  const y = {
    label: format.axis('Torque, measured less fitted', 'ΔT', 'torque'),
    include: [0],
    ...(isCut ? { range: [-reach, reach] as const } : {}),
  };
  const speed = format.samples('angularSpeed', trace.speed);
  return {
    outside,
    figures: [
      {
        id: `${id}-residual-time`,
        title: 'Residual torque over time',
        description: 'Measured less fitted torque over time. A trend would show warming or a wrong delay.',
        x: { label: format.axis('Time', 't', 'time') },
        panels: [{ y, height: 120, marks: [{ kind: 'trace', signal: 'torque', x: time, y: residual }] }],
      },
      {
        id: `${id}-residual-speed`,
        title: 'Residual torque over speed',
        description:
          'Measured less fitted torque over speed. A bend would show a missing term of the drag law.',
        x: { label: format.axis('Speed at motor', 'ω', 'angularSpeed') },
        panels: [{ y, height: 140, marks: [{ kind: 'cloud', signal: 'torque', x: speed, y: residual }] }],
      },
    ],
  };
}

/** True inside a stretch that the fit used; outside there is no residual, only a difference. */
const isInFit = (identification: Identification, time: number): boolean =>
  identification.segments.some((s) => s.used && s.kind !== 'breakaway' && time >= s.from && time <= s.to);

/** Drag over speed: measured points with their half widths, the fit with its band, dotted beyond the measured speeds. */
export function dragFigure(
  id: string,
  drive: Drive,
  identification: Identification,
  state: State,
  format: Format,
): Figure | undefined {
  const curves: readonly (readonly [string, readonly DragPoint[] | undefined, Mark[]])[] = [
    [
      identification.dragCurveReverse ? 'Drag at motor, forward' : 'Drag at motor',
      identification.dragCurve,
      breakawayMark(identification.estimates, state, format),
    ],
    [
      'Drag at motor, reverse',
      identification.dragCurveReverse,
      breakawayMark(identification.reverse?.estimates ?? {}, state, format),
    ],
    ['Apparent drag at motor, web on', identification.apparentDragCurve, []],
  ];
  const panels = curves.flatMap(([name, points, extra]): Panel[] =>
    points && points.length > 0
      ? [
          {
            y: { label: format.axis(name, 'M', 'torque'), include: [0] },
            height: 260,
            marks: [...dragMarks(points, identification.speedRange, state, format), ...extra],
          },
        ]
      : [],
  );
  if (panels.length === 0) return undefined;
  return {
    id: `${id}-drag`,
    title: 'Drag over speed',
    description: `Drag torque of ${drive.name} over speed, each point with its 95 % half width.`,
    x: { label: format.axis('Speed at motor', 'ω', 'angularSpeed'), include: [0] },
    ...topAxis(drive, format),
    panels,
  };
}

/** The surface speed along the top, where radius and gear ratio are known: plants think in it. */
export function topAxis(drive: Drive, format: Format): Pick<Figure, 'top'> {
  if (drive.rollerRadius === undefined) return {};
  const surfacePerMotor = drive.rollerRadius / drive.gearRatio;
  const scale = format.value('speed', surfacePerMotor) / format.value('angularSpeed', 1);
  return { top: { label: format.axis('Surface speed', 'v', 'speed'), scale } };
}

function dragMarks(
  points: readonly DragPoint[],
  range: readonly [number, number] | undefined,
  state: State,
  format: Format,
): Mark[] {
  const marks: Mark[] = [];
  const fit = points.filter((p) => p.from === 'fit').toSorted((a, b) => a.speed - b.speed);
  if (fit.length > 0) {
    const half = format.samples(
      'torque',
      fit.map((p) => p.halfWidth95),
    );
    const { x, y } = columnsOf(fit, format);
    marks.push({
      kind: 'band',
      signal: 'torque',
      x,
      low: y.map((v, i) => v - (half[i] as number)),
      high: y.map((v, i) => v + (half[i] as number)),
      label: '95 % band',
    });
    const [from, to] = range ?? [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
    const inside = fit.filter((p) => p.speed >= from && p.speed <= to);
    marks.push({
      kind: 'line',
      meaning: 'model',
      signal: 'torque',
      ...columnsOf(inside, format),
      label: 'fit',
    });
    for (const beyond of [
      fit.filter((p) => p.speed < from).concat(inside.slice(0, 1)),
      inside.slice(-1).concat(fit.filter((p) => p.speed > to)),
    ]) {
      if (beyond.length < 2) continue;
      const columns = columnsOf(beyond, format);
      marks.push({
        kind: 'line',
        meaning: 'extrapolated',
        signal: 'torque',
        ...columns,
        label: 'beyond the measured speeds',
      });
    }
  }
  for (const [from, shape, label] of [
    ['coast', 'square', 'from coast-down'],
    ['plateau', 'circle', 'plateau'],
  ] as const) {
    const measured = points.filter((p) => p.from === from);
    if (measured.length === 0) continue;
    const halfWidth = format.samples(
      'torque',
      measured.map((p) => p.halfWidth95),
    );
    marks.push({
      kind: 'points',
      signal: 'torque',
      ...columnsOf(measured, format),
      halfWidth,
      fill: fillOf(state),
      shape,
      label,
    });
  }
  return marks;
}

const columnsOf = (points: readonly DragPoint[], format: Format): { x: Float64Array; y: Float64Array } => ({
  x: format.samples(
    'angularSpeed',
    points.map((p) => p.speed),
  ),
  y: format.samples(
    'torque',
    points.map((p) => p.torque),
  ),
});

function breakawayMark(estimates: Identification['estimates'], state: State, format: Format): Mark[] {
  const { breakaway } = estimates;
  if (!breakaway) return [];
  return [
    {
      kind: 'points',
      signal: 'torque',
      x: [0],
      y: [format.value('torque', breakaway.value)],
      halfWidth: [format.value('torque', (breakaway.interval95[1] - breakaway.interval95[0]) / 2)],
      fill: fillOf(state),
      shape: 'triangle',
      label: 'breakaway',
    },
  ];
}

/** Each start of motion, with the estimate and its interval. */
export function breakawayFigure(
  id: string,
  identification: Identification,
  state: State,
  format: Format,
): Figure | undefined {
  const events = identification.breakawayEvents;
  if (events.length === 0) return undefined;
  const times = events.map((e) => e.time);
  const room = 0.05 * (Math.max(...times) - Math.min(...times)) || 1;
  const ends = [Math.min(...times) - room, Math.max(...times) + room];
  const { breakaway } = identification.estimates;
  const both = (value: number): number[] => [format.value('torque', value), format.value('torque', value)];
  const model: Mark[] = breakaway
    ? [
        {
          kind: 'band',
          signal: 'torque',
          x: ends,
          low: both(breakaway.interval95[0]),
          high: both(breakaway.interval95[1]),
          label: '95 % interval',
        },
        {
          kind: 'line',
          meaning: 'model',
          signal: 'torque',
          x: ends,
          y: both(breakaway.value),
          label: 'estimate',
        },
      ]
    : [];
  return {
    id: `${id}-breakaway`,
    title: 'Breakaway torque at each start of motion',
    description: `${events.length} starts of motion, with the torque at which each began.`,
    x: { label: format.axis('Time', 't', 'time'), include: ends },
    panels: [
      {
        y: { label: format.axis('Breakaway torque at motor', 'M', 'torque') },
        height: 150,
        marks: [
          ...model,
          ...eventMarks(events, 1, 'circle', 'forward', state, format),
          ...eventMarks(events, -1, 'triangle', 'reverse', state, format),
        ],
      },
    ],
  };
}

function eventMarks(
  events: readonly BreakawayEvent[],
  direction: 1 | -1,
  shape: 'circle' | 'triangle',
  label: string,
  state: State,
  format: Format,
): Mark[] {
  const mine = events.filter((e) => e.direction === direction);
  if (mine.length === 0) return [];
  return [
    {
      kind: 'points',
      signal: 'torque',
      x: mine.map((e) => e.time),
      y: format.samples(
        'torque',
        mine.map((e) => e.torque),
      ),
      fill: fillOf(state),
      shape,
      label,
    },
  ];
}

/** Inertia of a winder or unwind over the diameter of its roll. */
export function inertiaFigure(
  id: string,
  identification: Identification,
  state: State,
  format: Format,
): Figure | undefined {
  const points = identification.inertiaOverDiameter;
  if (!points || points.length === 0) return undefined;
  return {
    id: `${id}-inertia`,
    title: 'Inertia over roll diameter',
    description: `Inertia at the motor at ${points.length} roll diameters.`,
    x: { label: format.axis('Roll diameter', 'D', 'length') },
    panels: [
      {
        y: { label: format.axis('Inertia at motor', 'J', 'inertia'), include: [0] },
        height: 180,
        marks: [
          {
            kind: 'points',
            signal: 'neutral',
            x: format.samples(
              'length',
              points.map((p) => p.diameter),
            ),
            y: format.samples(
              'inertia',
              points.map((p) => p.inertia),
            ),
            fill: fillOf(state),
            shape: 'circle',
          },
        ],
      },
    ],
  };
}
