import { describe, expect, test } from 'vitest';
import { buildCommissioningReport } from '../../../../src/engine/report/commissioning/commissioningReport.js';
import { renderHtml } from '../../../../src/engine/report/html.js';
import type { Block, ReportTree, Table } from '../../../../src/engine/report/reportTree.js';
import type { Figure, Mark } from '../../../../src/engine/report/svg/figure.js';
import {
  dragCurve,
  drive,
  identification,
  input,
  refusedIdentification,
} from '../../../support/reportFixture.js';
import { geometryOf, readMarkup } from '../markup.js';

const tree = buildCommissioningReport(input);

const blocksOf = (report: ReportTree, title: string): readonly Block[] =>
  (report.sections.find((s) => s.title === title)?.blocks ?? []).flatMap((b) =>
    b.kind === 'details' ? [b, ...b.blocks] : [b],
  );
const figureOf = (report: ReportTree, title: string, name: string): Figure | undefined =>
  blocksOf(report, title).flatMap((b) =>
    b.kind === 'figure' && b.figure.id.endsWith(name) ? [b.figure] : [],
  )[0];
const tableOf = (report: ReportTree, title: string, heading: string): Table | undefined =>
  blocksOf(report, title).flatMap((b) =>
    b.kind === 'table' && b.table.columns.some((c) => c.heading === heading) ? [b.table] : [],
  )[0];
const marksOf = (figure: Figure | undefined): readonly Mark[] => figure?.panels.flatMap((p) => p.marks) ?? [];
const overview = tableOf(tree, 'Overview', 'Breakaway');

describe('overview', () => {
  test('one row a drive in web order, values with their uncertainty', () => {
    expect(overview?.rows.map((r) => r[0]?.text)).toEqual(['unwind', 'helper 3', 'winder']);
    // 0.02118, standard error 0.00006: 95 % half width 1.96·0.00006 = 0.00012.
    expect(overview?.rows[1]?.[2]?.text).toBe('0.02118 ± 0.00012');
    expect(overview?.rows[1]?.[3]?.text).toBe('1.04 ± 0.04');
  });

  test('a missing value is said to be missing, with the reason', () => {
    expect(overview?.rows[0]?.[2]).toEqual({
      text: 'missing',
      tone: 'missing',
      note: 'no acceleration in the recording',
    });
    expect(overview?.rows[0]?.[4]?.note).toBe('one speed only');
    expect(overview?.rows[0]?.[1]?.tone).toBe('refuse');
  });

  test('drag stands at the lowest and the highest fitted speed', () => {
    expect(overview?.rows[1]?.[4]?.note).toBe('at 2 rad/s');
    expect(overview?.rows[1]?.[6]?.note).toBe('at 145 rad/s');
  });
});

describe('drive section', () => {
  test('figures appear only where there is something to show', () => {
    for (const name of [
      'trace',
      'drag',
      'breakaway',
      'residual-time',
      'residual-speed',
      'feedforward',
      'comparison',
    ]) {
      expect(figureOf(tree, 'helper 3', name), name).toBeDefined();
      expect(figureOf(tree, 'unwind', name), name).toBeUndefined();
    }
  });

  test('segments are shown with kind and reason; those left out are hatched', () => {
    const spans = figureOf(tree, 'helper 3', 'trace')?.spans ?? [];
    expect(spans.map((s) => s.tone)).toEqual(identification.segments.map((s) => s.kind));
    expect(spans.map((s) => s.isHatched)).toEqual(identification.segments.map((s) => !s.used));
    expect(spans[8]?.title).toContain('torque at its limit for 1.4 s');
    expect(tableOf(tree, 'helper 3', 'In the fit')?.rows).toHaveLength(identification.segments.length);
  });

  test('the band of the drag curve is the fit plus and minus its half width', () => {
    const band = marksOf(figureOf(tree, 'helper 3', 'drag')).find((m) => m.kind === 'band');
    const fit = dragCurve.filter((p) => p.from === 'fit').toSorted((a, b) => a.speed - b.speed);
    if (band?.kind !== 'band') throw new Error('no band');
    for (const [i, p] of fit.entries()) {
      expect(band.high[i]).toBeCloseTo(p.torque + p.halfWidth95, 12);
      expect(band.low[i]).toBeCloseTo(p.torque - p.halfWidth95, 12);
    }
  });

  test('as found is hollow, as left is filled', () => {
    const fills = (report: ReportTree): Set<string> =>
      new Set(
        marksOf(figureOf(report, 'helper 3', 'drag')).flatMap((m) => (m.kind === 'points' ? [m.fill] : [])),
      );
    expect(fills(tree)).toEqual(new Set(['filled']));
    const first = buildCommissioningReport({ ...input, drives: [{ drive, identification }] });
    expect(fills(first)).toEqual(new Set(['hollow']));
    expect(figureOf(first, 'helper 3', 'comparison')).toBeUndefined();
  });

  test('the curve is dotted beyond the measured speeds and joins the solid one', () => {
    const report = buildCommissioningReport({
      ...input,
      drives: [{ drive, identification: { ...identification, speedRange: [20, 100] } }],
    });
    const lines = marksOf(figureOf(report, 'helper 3', 'drag')).flatMap((m) =>
      m.kind === 'line' ? [m] : [],
    );
    const [model, below, above] = lines;
    expect(lines.map((l) => l.meaning)).toEqual(['model', 'extrapolated', 'extrapolated']);
    expect(model?.x[0]).toBeGreaterThanOrEqual(20);
    expect(below?.x[below.x.length - 1]).toBe(model?.x[0]);
    expect(above?.x[0]).toBe(model?.x[model.x.length - 1]);
    expect(
      marksOf(figureOf(tree, 'helper 3', 'drag')).some(
        (m) => m.kind === 'line' && m.meaning === 'extrapolated',
      ),
    ).toBe(false);
  });

  test('residuals are measured less fitted, and only where the fit looked', () => {
    const [mark] = marksOf(figureOf(tree, 'helper 3', 'residual-time'));
    if (mark?.kind !== 'trace') throw new Error('no trace');
    const trace = identification.trace!;
    const at = (t: number): number => Math.round(t / 0.01);
    expect(mark.y[at(45)]).toBeCloseTo(trace.torque[at(45)]! - trace.torqueFitted[at(45)]!, 12);
    expect(mark.y[at(51)]).toBeNaN();
    expect(mark.y[at(80)]).toBeNaN();
  });

  test('a few far residuals do not press the rest flat, and the caption counts them', () => {
    const trace = identification.trace!;
    const torque = trace.torque.slice();
    torque[4500] = 40;
    torque[4600] = -38;
    const report = buildCommissioningReport({
      ...input,
      drives: [{ drive, identification: { ...identification, trace: { ...trace, torque } } }],
    });
    const caption = (r: ReportTree): string | undefined =>
      blocksOf(r, 'helper 3').flatMap((b) =>
        b.kind === 'figure' && b.figure.id.endsWith('residual-speed') ? [b.caption] : [],
      )[0];
    expect(caption(report)).toMatch(/ 2 of \d+ plotted samples lie outside the axis, the farthest 39 N·m/);
    expect(figureOf(report, 'helper 3', 'residual-time')?.panels[0]?.y.range?.[1]).toBeLessThan(1);
    expect(caption(tree)).not.toMatch(/outside/);
    expect(figureOf(tree, 'helper 3', 'residual-time')?.panels[0]?.y.range).toBeUndefined();
  });

  test('both directions are told apart', () => {
    expect(figureOf(tree, 'winder', 'drag')?.panels.map((p) => p.y.label)).toEqual([
      'Drag at motor, forward, M [N·m]',
      'Drag at motor, reverse, M [N·m]',
    ]);
    const captions = blocksOf(tree, 'winder').flatMap((b) => (b.kind === 'table' ? [b.table.caption] : []));
    expect(captions).toEqual(
      expect.arrayContaining(['Forward', 'Reverse', 'One drag for both directions, with an offset']),
    );
  });

  test('surface speed along the top is motor speed times radius over gear ratio', () => {
    // 0.089 m / 2.5 · 60 s/min = 2.136 m/min for each rad/s.
    expect(figureOf(tree, 'helper 3', 'drag')?.top?.scale).toBeCloseTo(2.136, 12);
    expect(figureOf(tree, 'winder', 'drag')?.top).toBeUndefined();
  });

  test('the parameter table gives value, standard error and interval to the same place', () => {
    const row = tableOf(tree, 'helper 3', 'Standard error')?.rows[1]?.map((c) => c.text);
    expect(row).toEqual(['Coulomb drag at the motor shaft', '0.617', '0.006', '0.605 to 0.629', 'N·m']);
  });

  test('a torque limit near the table is hatched; far above it is only stated', () => {
    expect(marksOf(figureOf(tree, 'helper 3', 'feedforward')).some((m) => m.kind === 'limit')).toBe(false);
    const weak = { ...input.drives[1]!, drive: { ...drive, ratedTorque: 0.8, torqueLimit: 1.2 } };
    const report = buildCommissioningReport({ ...input, drives: [weak] });
    const limit = marksOf(figureOf(report, 'helper 3', 'feedforward')).find((m) => m.kind === 'limit');
    expect(limit?.kind === 'limit' && limit.from).toBeCloseTo(0.96, 12);
  });
});

describe('feed-forward', () => {
  test('the table has a column for everything that is known and none for what is not', () => {
    const headings = (title: string): string[] | undefined =>
      tableOf(tree, title, 'Torque at motor')?.columns.map((c) => c.heading);
    expect(headings('helper 3')).toEqual([
      'Speed at motor',
      'Torque at motor',
      'Of rated',
      'Speeding up',
      'Slowing down',
      'Tug left on the web, ±',
      'Same, speeding up, ±',
    ]);
    expect(headings('winder')).toEqual(['Speed at motor', 'Torque at motor']);
  });

  test('fractions of rated are shown in percent and standstill is marked as not measured', () => {
    const rows = tableOf(tree, 'helper 3', 'Torque at motor')?.rows;
    // 0.62 + 0.25 = 0.87 N·m at standstill, of 15.5 N·m: 5.61 %.
    expect(rows?.[0]?.map((c) => c.text).slice(0, 3)).toEqual(['0', '0.870', '5.61']);
    expect(rows?.[0]?.[0]?.note).toMatch(/not measured/);
    expect(rows?.[1]?.[0]?.note).toBeUndefined();
  });

  test('the curve is dotted from standstill to the first measured speed', () => {
    const dotted = marksOf(figureOf(tree, 'helper 3', 'feedforward')).find(
      (m) => m.kind === 'line' && m.meaning === 'extrapolated',
    );
    expect(dotted?.kind === 'line' && Array.from(dotted.x)).toEqual([0, 2]);
  });

  test('an empty table says that the findings tell why', () => {
    const empty = { driveName: 'x', verdict: 'refused', rows: [], findings: [] } as const;
    const report = buildCommissioningReport({
      ...input,
      drives: [{ drive, identification, feedforward: empty }],
    });
    expect(figureOf(report, 'helper 3', 'feedforward')).toBeUndefined();
    expect(blocksOf(report, 'helper 3')).toContainEqual({
      kind: 'paragraph',
      text: 'No table: the findings say why.',
    });
  });
});

describe('comparison', () => {
  test('a ratio that cannot be formed is a dash with its reason', () => {
    const rows = tableOf(tree, 'helper 3', 'Ratio')?.rows;
    expect(rows?.[0]?.[3]).toEqual({ text: '0.733', note: '0.704 to 0.762' });
    expect(rows?.[2]?.[3]?.text).toBe('–');
    expect(rows?.map((r) => r[4]?.text)).toEqual(['changed', 'unchanged', 'undecided']);
  });

  test('the sentence on tug gives force, interval, share and speed', () => {
    const texts = blocksOf(tree, 'helper 3').flatMap((b) => (b.kind === 'paragraph' ? [b.text] : []));
    expect(texts.join(' ')).toContain(
      'the drag fell by 4.6 ± 0.8 N (95 %), 3.1 % of the running tension, at 10 rad/s motor speed.',
    );
  });

  test('both directions have a figure and a table of their own', () => {
    const ids = blocksOf(tree, 'winder').flatMap((b) => (b.kind === 'figure' ? [b.figure.id] : []));
    expect(ids.filter((i) => i.endsWith('comparison'))).toHaveLength(2);
  });
});

describe('the whole', () => {
  test('says that it is invented only when it is', () => {
    expect(tree.label).toMatch(/^Invented demo data/);
    expect(buildCommissioningReport({ ...input, invented: false }).label).toBeUndefined();
  });

  test('cautions and a sign-off block are always there, and no name stands in it', () => {
    const report = buildCommissioningReport({ ...input, drives: [] });
    const kinds = report.sections.flatMap((s) => s.blocks.map((b) => b.kind));
    expect(kinds).toContain('cautions');
    expect(kinds).toContain('signOff');
  });

  test('the same input gives the same bytes', () => {
    expect(renderHtml(buildCommissioningReport(input))).toBe(renderHtml(tree));
  });

  test('US customary reaches every table and axis: no SI unit is left', () => {
    const html = renderHtml(buildCommissioningReport({ ...input, units: 'us' }));
    const body = html.slice(html.indexOf('<body>'));
    expect(body).toContain('lb·ft²');
    // What the engineer's findings and segments say is text, and the columns of the file keep their units.
    const ours = body
      .replace(/<li class="(?:warn|info|refuse)">.*?<\/li>/g, '')
      .replace(/speed within [^<]*|steady acc[^<]*|speed below [^<]*/g, '');
    expect(ours).not.toMatch(/N·m|rad\/s|kg·m²|m\/min/);
  });
});

describe.each(['si', 'us'] as const)('HTML in %s', (units) => {
  const html = renderHtml(buildCommissioningReport({ ...input, units }));
  const elements = readMarkup(html);

  test('needs nothing from outside and runs nothing', () => {
    expect(elements.map((e) => e.tag)).not.toContain('script');
    for (const e of elements) {
      for (const [name, value] of Object.entries(e.attributes)) {
        expect(name).not.toMatch(/^(on|src)/);
        if (name === 'href') expect(value).toMatch(/^#/);
      }
    }
    expect(html).not.toMatch(/@import|url\((?!#)/);
    expect(html).toContain(`content="default-src 'none'; style-src 'unsafe-inline'"`);
  });

  test('every identifier is unique and every reference leads somewhere', () => {
    const ids = elements.flatMap((e) => (e.attributes.id === undefined ? [] : [e.attributes.id]));
    expect(new Set(ids).size).toBe(ids.length);
    const references = elements.flatMap((e) => [
      ...(e.attributes.href ? [e.attributes.href.slice(1)] : []),
      ...(e.attributes['aria-labelledby']?.split(' ') ?? []),
      ...[
        ...Object.values(e.attributes)
          .join(' ')
          .matchAll(/url\(#([^)]+)\)/g),
      ].map((m) => m[1] ?? ''),
    ]);
    expect(references.length).toBeGreaterThan(20);
    for (const r of references) expect(ids).toContain(r);
  });

  test('no NaN in any path, and none in any text', () => {
    for (const e of elements) expect(geometryOf(e)).not.toMatch(/NaN|Infinity/);
    expect(html.replace(/<style>[^<]*<\/style>/, '')).not.toMatch(/NaN|undefined|\[object/);
  });
});

test('hostile names, headers, reasons and messages stay text', () => {
  const evil = `"'><img src=x onerror=alert(1)></script><script>`;
  const hostile = renderHtml(
    buildCommissioningReport({
      lineName: evil,
      date: evil,
      units: 'si',
      drives: [
        {
          drive: { ...drive, name: evil },
          identification: {
            ...identification,
            findings: [
              {
                code: 'web_on',
                severity: 'warn',
                message: evil,
                where: { channel: evil, [evil]: 1 },
                next: evil,
              },
            ],
            channels: [{ role: 'motor-speed', header: evil, unit: evil, delay: 0 }],
            segments: [{ kind: 'ramp', from: 0, to: 1, why: evil, used: true }],
            notEstimated: [{ name: 'inertia', why: evil, next: evil }],
            inputs: { file: evil, sha256: evil, rows: 1 },
          },
        },
        { drive: { ...drive, name: evil }, identification: refusedIdentification },
      ],
    }),
  );
  const tags = readMarkup(hostile).map((e) => e.tag);
  expect(tags).not.toContain('img');
  expect(tags).not.toContain('script');
  expect(hostile).toContain('&lt;img src=x onerror=alert(1)&gt;');
});
