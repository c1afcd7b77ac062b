import type { Command } from 'commander';
import { compareIdentifications } from '../engine/identify/compare/compare.js';
import type { Change, Comparison, DragDifference } from '../engine/identify/compare/comparison.js';
import { parameterQuantity } from '../engine/identify/parameterQuantity.js';
import { toComparisonDocument } from '../engine/project/comparison.js';
import { toDrive } from '../engine/project/drive.js';
import { fromIdentificationDocument } from '../engine/project/identification.js';
import { formatNumber, formatQuantity } from '../engine/units/format.js';
import type { UnitSystem } from '../engine/units/quantity.js';
import { readDrive } from '../node/documents/readDrive.js';
import { readIdentification } from '../node/documents/readIdentification.js';
import { positiveNumber, unitSystem } from './options.js';
import { findingLines, runCommand } from './output.js';
import { parameterLabels } from './parameterWords.js';
import { textTable } from './table.js';

interface Options {
  drive?: string;
  tolerance: number;
  runningTension?: number;
  json?: boolean;
  units: UnitSystem;
}

export function registerCompare(program: Command): void {
  program
    .command('compare')
    .argument('<earlier>', 'identification of the earlier visit, as found (JSON of tautline identify)')
    .argument('<later>', 'identification of the later visit, as left')
    .description('what changed on a drive between two visits, and whether it matters on the web')
    .option(
      '--drive <file>',
      'drive file, for gear and roller; without it the drives inside the identifications',
    )
    .option('--tolerance <percent>', 'difference that still counts as equal', positiveNumber, 5)
    .option('--running-tension <N>', 'tension of the whole web, to judge the change by', positiveNumber)
    .option('--json', 'print one JSON document')
    .option('--units <si|us>', 'units of the printed tables', unitSystem, 'si')
    .action((earlierPath: string, laterPath: string, options: Options) =>
      runCommand(options.json === true, async () => {
        const earlier = await readIdentification(earlierPath);
        const later = await readIdentification(laterPath);
        const stated = options.drive === undefined ? undefined : await readDrive(options.drive);
        const comparison = compareIdentifications(
          fromIdentificationDocument(earlier),
          fromIdentificationDocument(later),
          stated === undefined
            ? { earlier: toDrive(earlier.drive), later: toDrive(later.drive) }
            : { earlier: stated, later: stated },
          { tolerance: 0.01 * options.tolerance, runningTension: options.runningTension },
        );
        return {
          document: toComparisonDocument(comparison),
          text: () => comparisonText(comparison, options.units),
          refused: comparison.verdict === 'refused',
        };
      }),
    );
}

/** What a person reads of a comparison on a terminal. */
function comparisonText(c: Comparison, units: UnitSystem): string {
  const out = [
    `${c.driveName}: later against earlier; equal means within ${formatNumber(100 * c.tolerance, 2)} % with 95 % confidence`,
    '',
  ];
  if (c.changes.length > 0) out.push(changeTable('parameter', c.changes, units), '');
  if (c.changesReverse !== undefined) out.push(changeTable('reverse', c.changesReverse, units), '');
  if (c.dragCurves.length > 0) out.push(curveTable('drag at', c.dragCurves, c.curveVerdict, units), '');
  if (c.dragCurvesReverse !== undefined)
    out.push(curveTable('reverse drag at', c.dragCurvesReverse, c.curveVerdictReverse, units), '');
  if (c.tugChange !== undefined) {
    const { force, interval95, sense, speed, direction, share } = c.tugChange;
    const [lo, hi] = interval95.map((x) => formatQuantity(x, 'tension', units));
    const of = share === undefined ? '' : `, ${formatNumber(100 * share, 2)} % of the running tension`;
    out.push(
      `largest change of web tug: ${formatQuantity(force, 'tension', units)} (95 %: ${lo} to ${hi})${of}; the drag ${sense} at ${formatQuantity(speed, 'angularSpeed', units)} ${direction}`,
      '',
    );
  }
  if (c.notCompared.length > 0) {
    out.push('not compared:');
    for (const n of c.notCompared) out.push(`  ${parameterLabels[n.name]}: ${n.why}`);
    out.push('');
  }
  if (c.findings.length > 0) out.push('findings:', ...findingLines(c.findings), '');
  return out.join('\n').trimEnd();
}

function changeTable(title: string, changes: readonly Change[], units: UnitSystem): string {
  return textTable(
    [title, 'earlier', 'later', 'later/earlier', '95 % interval', 'verdict'],
    changes.map((c) => {
      const quantity = parameterQuantity[c.name];
      return [
        parameterLabels[c.name],
        formatQuantity(c.earlier, quantity, units, 4),
        formatQuantity(c.later, quantity, units, 4),
        c.ratio === undefined ? '–' : formatNumber(c.ratio, 4),
        c.ratioInterval95 === undefined ? '–' : c.ratioInterval95.map((x) => formatNumber(x, 4)).join(' to '),
        c.verdict,
      ];
    }),
  );
}

function curveTable(
  title: string,
  points: readonly DragDifference[],
  verdict: string | undefined,
  units: UnitSystem,
): string {
  const shown = points.filter((_, k) => k % 3 === 0 || k === points.length - 1);
  const table = textTable(
    [title, 'earlier', 'later', 'difference, 95 % interval'],
    shown.map((p) => [
      formatQuantity(p.speed, 'angularSpeed', units),
      formatQuantity(p.earlier, 'torque', units),
      formatQuantity(p.later, 'torque', units),
      p.differenceInterval95.map((x) => formatQuantity(x, 'torque', units)).join(' to '),
    ]),
  );
  return `${table}\ndrag curve as a whole: ${verdict}`;
}
