import type { Command } from 'commander';
import { checkLine, type LineCheck } from '../engine/line/check/lineCheck.js';
import type { Line } from '../engine/line/line.js';
import { tugBudget } from '../engine/line/tug/tugBudget.js';
import type { Interval, TugBudget } from '../engine/line/tug/types.js';
import { tugOptions } from '../engine/program/tugOptions.js';
import { toLineCheckDocument } from '../engine/project/line/lineCheckDocument.js';
import { lineDrawingOf } from '../engine/report/line/lineDrawingOf.js';
import { renderLineDrawing } from '../engine/report/line/render.js';
import { formatNumber, formatQuantity } from '../engine/units/format.js';
import type { UnitSystem } from '../engine/units/quantity.js';
import { atomicWrite } from '../node/files/atomicWrite.js';
import { readLine } from '../node/lineFolder/readLine.js';
import { readProduct } from '../node/lineFolder/readProduct.js';
import { unitSystem } from './options.js';
import { findingLines, runCommand } from './output.js';
import { textTable } from './table.js';

interface Options {
  product?: string;
  svg?: string;
  json?: boolean;
  units: UnitSystem;
}

export function registerCheck(program: Command): void {
  program
    .command('check')
    .argument('<line>', 'line file (line.yaml)')
    .description('check a line: its document, web path, spans and wraps, also as its rolls grow; draw it')
    .option('--product <file>', 'product whose web the tug on the web is computed for')
    .option('--svg <file>', 'write the side view of the line')
    .option('--json', 'print one JSON document')
    .option('--units <si|us>', 'units of the printed tables and the drawing', unitSystem, 'si')
    .action((path: string, options: Options) =>
      runCommand(options.json === true, async () => {
        const { line, placed } = await readLine(path);
        const check = checkLine(line, options.units);
        const product =
          options.product === undefined ? undefined : (await readProduct(options.product)).product;
        const tug = tugBudget(line, { ...(product && tugOptions(product)), units: options.units });
        const findings = [...check.findings, ...(tug?.findings ?? [])].map((f) => ({
          ...f,
          where: placed(f.where),
        }));
        if (options.svg !== undefined) await writeDrawing(options.svg, line, check, options.units);
        return {
          document: toLineCheckDocument(line, check, findings, tug),
          text: () => checkText(line, { ...check, findings }, tug, options),
          refused: findings.some((f) => f.severity === 'refuse'),
        };
      }),
    );
}

async function writeDrawing(file: string, line: Line, check: LineCheck, units: UnitSystem): Promise<void> {
  const drawing = lineDrawingOf(line, check, units);
  if (drawing === undefined) {
    process.stderr.write('nothing drawn: not every roller has a place\n');
    return;
  }
  await atomicWrite(file, renderLineDrawing(drawing));
  process.stderr.write(`wrote ${file}\n`);
}

/** What a person reads of a checked line. */
function checkText(
  line: Line,
  { path, overBuild, loads, findings }: LineCheck,
  tug: TugBudget | undefined,
  { units }: Options,
): string {
  const out = [line.name, ''];
  if (line.invented) out.push('Invented demo data: no such machine exists.', '');
  if (path !== undefined) {
    const wrapOf = new Map(path.wraps.map((w) => [w.name, w.wrap]));
    out.push(
      textTable(
        ['from', 'to', 'span', 'heading', 'wrap at the end'],
        path.spans.map((s) => {
          const wrap = wrapOf.get(s.to);
          return [
            s.from,
            s.to,
            Number.isFinite(s.length) ? formatQuantity(s.length, 'webLength', units, 4) : 'impossible',
            Number.isFinite(s.heading) ? degrees(s.heading) : '',
            wrap !== undefined && Number.isFinite(wrap) ? degrees(wrap) : '',
          ];
        }),
      ),
    );
    if (Number.isFinite(path.length))
      out.push(`web path: ${formatQuantity(path.length, 'webLength', units, 4)}`);
    out.push('');
  }
  for (const { section, path: over } of overBuild) {
    const last = over.radius.length - 1;
    const range = (values: Float64Array, text: (x: number) => string): string =>
      `${text(values[0] as number)} to ${text(values[last] as number)}`;
    const length = (x: number): string => formatQuantity(x, 'length', units, 4);
    const changing = over.wraps.filter(
      (w) => Math.abs((w.wrap[0] as number) - (w.wrap[last] as number)) > 0.5e-3,
    );
    out.push(
      `${section} from ${range(over.radius, (r) => length(2 * r))}: web path ${range(over.length, (x) => formatQuantity(x, 'webLength', units, 4))}`,
      ...changing.map((w) => `  wrap of ${w.name}: ${range(w.wrap, degrees)}`),
      '',
    );
  }
  if (loads.length > 0)
    out.push(
      textTable(
        ['', 'of', 'force', 'tension of the web'],
        loads.map((l) => [
          l.kind,
          l.section,
          formatQuantity(l.force, 'tension', units),
          formatQuantity(l.tension, 'tension', units),
        ]),
      ),
      '',
    );
  if (tug !== undefined) out.push(...tugText(tug, units));
  if (findings.length > 0) out.push('findings:', ...findingLines(findings));
  else out.push('nothing to find fault with');
  return out.join('\n');
}

/** What the web is asked to pull, at top speed and while speeding up. */
function tugText({ zones, grips }: TugBudget, units: UnitSystem): string[] {
  const force = (x: number): string => formatQuantity(x, 'tension', units, 3);
  const band = (b: Interval | undefined): string =>
    b === undefined
      ? 'not known'
      : b.low === b.high
        ? force(b.low)
        : Number.isFinite(b.high)
          ? `${force(b.low)} to ${force(b.high)}`
          : `at least ${force(b.low)}`;
  const out: string[] = [];
  for (const zone of zones) {
    if (zone.rollers.length === 0) continue;
    out.push(
      textTable(
        [`${zone.from} to ${zone.to}`, 'drag', 'speeding up', 'friction reserve', ''],
        zone.rollers.map((t) => [
          t.name,
          band(t.drag),
          band(t.inertia),
          t.reserve === undefined ? '' : formatNumber(t.reserve, 3),
          t.missing.length > 0 ? t.reasons.join('; ') : t.verdict,
        ]),
      ),
      `together ${band(zone.drag)} of drag and ${band(zone.inertia)} while speeding up${zone.tension === undefined ? '' : `, of ${force(zone.tension)} held`}${zone.unknown.length > 0 ? `, without ${zone.unknown.join(', ')}` : ''}`,
      '',
    );
  }
  if (grips.length > 0)
    out.push(
      textTable(
        ['holds a step of tension', 'step', 'slips from'],
        grips.map((g) => [g.section, force(g.step), force(g.grip)]),
      ),
      '',
    );
  return out;
}

const degrees = (angle: number): string => `${formatNumber((angle * 180) / Math.PI, 4)}°`;
