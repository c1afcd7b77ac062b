import type { Command } from 'commander';
import type { Finding } from '../engine/findings.js';
import { predictRoll, type RollPrediction } from '../engine/program/roll/predictRoll.js';
import { type RollDocument, rollSchema, toRollInput } from '../engine/project/roll/rollDocument.js';
import { toRollResult } from '../engine/project/roll/rollResultDocument.js';
import { makeFormat } from '../engine/report/format.js';
import { rollFigure } from '../engine/report/roll/figures.js';
import { renderStandaloneFigure } from '../engine/report/svg/standalone.js';
import { formatNumber, formatQuantity } from '../engine/units/format.js';
import type { QuantityKey, UnitSystem } from '../engine/units/quantity.js';
import { placedError, readPlacedDocument } from '../node/documents/yamlDocument.js';
import { atomicWrite } from '../node/files/atomicWrite.js';
import { unitSystem } from './options.js';
import { findingLines, runCommand } from './output.js';
import { textTable } from './table.js';

export function registerRoll(program: Command): void {
  program
    .command('roll')
    .argument('<roll>', 'roll file: web, core and how it is wound')
    .description('pressure, hoop stress and slip margin in a wound roll')
    .option('--svg <file>', 'write pressure, stress and slip margin as a figure')
    .option('--json', 'print one JSON document')
    .option('--units <si|us>', 'units of the printed tables and the figure', unitSystem, 'si')
    .action((path: string, options: { svg?: string; json?: boolean; units: UnitSystem }) =>
      runCommand(options.json === true, async () => {
        const { data, placed } = await readPlacedDocument(path, rollSchema);
        const document = data as RollDocument;
        let roll: RollPrediction;
        try {
          roll = predictRoll(toRollInput(document), options.units);
        } catch (error) {
          throw placedError(error, placed);
        }
        const findings = roll.findings.map((f) => ({ ...f, where: placed(f.where) }));
        const name = document.name ?? 'roll';
        if (options.svg !== undefined) {
          await atomicWrite(
            options.svg,
            renderStandaloneFigure(rollFigure('roll', name, roll, makeFormat(options.units))),
          );
          process.stderr.write(`wrote ${options.svg}\n`);
        }
        return {
          document: toRollResult(name, roll, findings),
          text: () => rollText(name, document.invented === true, roll, findings, options.units),
          refused: findings.some((f) => f.severity === 'refuse'),
        };
      }),
    );
}

/** Rows of the printed table, evenly spread over the laps. */
const rows = 15;

/** What a person reads of a predicted roll. */
function rollText(
  name: string,
  invented: boolean,
  roll: RollPrediction,
  findings: readonly Finding[],
  units: UnitSystem,
): string {
  const show = (x: number, quantity: QuantityKey): string => formatQuantity(x, quantity, units, 4);
  const n = roll.radius.length;
  const picked = [...new Set(Array.from({ length: rows }, (_, k) => Math.round((k * (n - 1)) / (rows - 1))))];
  const margin = (x: number): string => (Number.isFinite(x) ? formatNumber(x, 3) : '');
  const out = [`${name}: ${n} laps`, ''];
  if (invented) out.push('Invented demo data. Do not use any number of it.', '');
  out.push(
    textTable(
      ['radius', 'pressure', 'hoop stress', 'wound on', 'slip margin'],
      picked.map((i) => [
        show(roll.radius[i], 'length'),
        show(roll.pressure[i], 'pressure'),
        show(roll.hoopStress[i], 'pressure'),
        show(roll.woundOnTension[i], 'tensionPerWidth'),
        roll.slip === undefined ? '' : margin(roll.slip.margin[i]),
      ]),
    ),
    '',
    `pressure at the core ${show(roll.corePressure, 'pressure')}${roll.plateauPressure === undefined ? '' : `, in the middle of the build ${show(roll.plateauPressure, 'pressure')}`}`,
    `smallest hoop stress ${show(roll.minimumHoopStress.value, 'pressure')} at a radius of ${show(roll.minimumHoopStress.radius, 'length')}`,
    ...roll.slipCases
      .filter((c) => Number.isFinite(c.smallest.value))
      .map(
        (c) =>
          `${c.name}: layers hold ${margin(c.smallest.value)} times what is asked, least at a radius of ${show(c.smallest.radius, 'length')}`,
      ),
  );
  const limits = roll.largestDeceleration;
  if (limits !== undefined)
    out.push(
      `braked at the core it holds up to ${limitText(limits.webOn, units)} with its web, ${limitText(limits.webBroken, units)} after a web break (friction ${formatNumber(roll.frictionUsed ?? Number.NaN, 3)}, its low end)`,
    );
  out.push(
    `scheme: modulus at mid-increment, every lap on its own; solving each lap twice changes ${formatNumber(100 * roll.scheme.error, 2)} % of the largest pressure`,
    '',
  );
  if (findings.length > 0) out.push('findings:', ...findingLines(findings), '');
  out.push(
    'The equations are verified; whether they hold for a web only a stack test and measured rolls can say. A roll holds energy and weight: follow the',
    'machine’s risk assessment. Nothing here is a safety function.',
  );
  return out.join('\n');
}

const limitText = (x: number, units: UnitSystem): string =>
  Number.isFinite(x) ? formatQuantity(x, 'acceleration', units, 3) : 'any deceleration';
