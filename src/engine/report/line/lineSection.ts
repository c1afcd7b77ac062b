import type { LineCheck } from '../../line/check/lineCheck.js';
import {
  drivenRollers,
  type Line,
  type Section as LineSection,
  type Roller,
  type RollerDrag,
} from '../../line/line.js';
import { findingItems } from '../findingItems.js';
import type { Format } from '../format.js';
import type { Block, Cell, Section, Table } from '../reportTree.js';
import { lineDrawingOf } from './lineDrawingOf.js';

/** The line as described: its side view, what each roller is and what is known of it, and what its description lacks. */
export function lineSection(line: Line, check: LineCheck, format: Format): Section {
  const drawing = lineDrawingOf(line, check, format.system);
  const blocks: Block[] = [
    ...(drawing
      ? [
          {
            kind: 'lineDrawing' as const,
            drawing,
            caption:
              'Side view from the operator side, to scale, with rolls as drawn in line.yaml. Lengths stand at the spans.',
          },
        ]
      : [{ kind: 'paragraph' as const, text: 'Not every roller has a place, so there is no side view.' }]),
    { kind: 'table', table: rollerTable(line, check, format) },
    ...overBuildBlocks(check, format),
    ...loadBlocks(check, format),
    ...(check.findings.length > 0
      ? [{ kind: 'findings' as const, findings: findingItems(check.findings) }]
      : []),
  ];
  return {
    id: 'line',
    title: 'The line',
    lead: `${line.sections.length} sections in web order.`,
    isOwnPage: true,
    blocks,
  };
}

const kindWords: Readonly<Record<LineSection['kind'], string>> = {
  unwind: 'Unwind',
  'pull-roll': 'Pull roll',
  idler: 'Idler',
  'driven-idler': 'Driven idler',
  spreader: 'Spreader',
  dryer: 'Dryer',
  rider: 'Rider roller',
  'load-cell': 'Load cell',
  dancer: 'Dancer',
  accumulator: 'Accumulator',
  drum: 'Drum',
  winder: 'Winder',
};

function rollerTable(line: Line, { path }: LineCheck, format: Format): Table {
  const wraps = new Map((path?.wraps ?? []).map((w) => [w.name, w.wrap]));
  const driven = new Set([...drivenRollers(line)].map((d) => d.roller.name));
  const rows = line.sections.flatMap((section) => {
    const beside =
      section.kind === 'winder'
        ? [section.drum, section.frontDrum].filter(
            (d) => d !== undefined && !line.sections.some((s) => s.rollers.some((r) => r.name === d.name)),
          )
        : [];
    return [...section.rollers, ...(beside as Roller[])].map((roller) => ({ section, roller }));
  });
  const number = (value: number | undefined, key: Parameters<Format['number']>[0]): Cell =>
    value === undefined ? { text: '–' } : { text: format.number(key, value) };
  return {
    caption:
      'Inertia and drag at the roller, without motor and gearbox where they are not measured together. Wrap with rolls as drawn.',
    columns: [
      { heading: 'Roller', align: 'text' },
      { heading: 'Diameter', unit: format.unit('length'), align: 'number' },
      { heading: 'Wrap', unit: '°', align: 'number' },
      { heading: 'Drive', align: 'text' },
      { heading: 'Inertia', unit: format.unit('inertia'), align: 'number' },
      { heading: 'Drag', align: 'text' },
    ],
    rows: rows.map(({ section, roller }) => {
      const wrap = wraps.get(roller.name);
      const kind = section.kind === 'winder' ? `${section.type} winder` : kindWords[section.kind];
      return [
        { text: roller.name, ...(kind.toLowerCase() !== roller.name && { note: kind }) },
        number(roller.radius === undefined ? undefined : 2 * roller.radius, 'length'),
        { text: wrap === undefined || !Number.isFinite(wrap) ? '–' : ((wrap * 180) / Math.PI).toFixed(0) },
        { text: driven.has(roller.name) ? 'driven' : 'none' },
        roller.inertia === undefined
          ? { text: '–' }
          : { ...number(roller.inertia.value, 'inertia'), note: roller.inertia.source },
        dragCell(roller.drag, format),
      ];
    }),
  };
}

function dragCell(drag: RollerDrag, format: Format): Cell {
  switch (drag.known) {
    case 'measured':
    case 'stated':
      return {
        text: `${format.withUnit('torque', drag.law.coulomb)} at low speed`,
        note: drag.known === 'stated' ? 'stated' : drag.source,
      };
    case 'estimated':
      return { text: 'from bearing formulas', note: 'a band: accepted formulas differ several-fold' };
    case 'unknown':
      return { text: 'not known', tone: 'missing' };
  }
}

const loadWords = {
  'load cell': (force: string, tension: string): string =>
    `is pressed with ${force} by the web at ${tension}`,
  dancer: (force: string, tension: string): string => `holds ${tension} with a loading of ${force}`,
  carriage: (force: string, tension: string): string => `is held by ${force} at ${tension} in each strand`,
} as const;

function loadBlocks({ loads }: LineCheck, format: Format): Block[] {
  if (loads.length === 0) return [];
  const items = loads.map(
    (l) =>
      `${l.section} ${loadWords[l.kind](format.withUnit('tension', l.force), format.withUnit('tension', l.tension))}.`,
  );
  return [{ kind: 'list', items }];
}

function overBuildBlocks({ overBuild }: LineCheck, format: Format): Block[] {
  const items = overBuild.map(({ section, path }) => {
    const last = path.radius.length - 1;
    const span = (values: Float64Array, text: (x: number) => string): string =>
      `${text(values[0] as number)} to ${text(values[last] as number)}`;
    const changing = path.wraps
      .filter((w) => Math.abs((w.wrap[0] as number) - (w.wrap[last] as number)) > 5e-3)
      .map(
        (w) => `the wrap of ${w.name} from ${span(w.wrap, (x) => `${((x * 180) / Math.PI).toFixed(0)}°`)}`,
      );
    return `While the ${section} goes from ${span(path.radius, (r) => format.withUnit('length', 2 * r))}, the web path goes from ${span(path.length, (x) => format.withUnit('webLength', x))}${changing.length === 0 ? '' : `, ${changing.join(', ')}`}.`;
  });
  return items.length === 0 ? [] : [{ kind: 'list', items }];
}
