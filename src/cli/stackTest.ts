import { type Command, InvalidArgumentError } from 'commander';
import type { Finding } from '../engine/findings.js';
import {
  toStackDocument,
  toStackTestDocument,
  toUncertaintyDocument,
} from '../engine/project/roll/stackTestDocument.js';
import {
  type FittedParameter,
  fitStackTest,
  type StackTestResult,
} from '../engine/roll/stackTest/stackTest.js';
import { formatNumber, formatQuantity } from '../engine/units/format.js';
import type { QuantityKey, UnitSystem } from '../engine/units/quantity.js';
import {
  type ReadStackTest,
  readStackTest,
  type StackColumn,
  stackColumns,
} from '../node/stackTest/readStackTest.js';
import { dialectText } from './dialectText.js';
import { addDialectOptions, type DialectOptions, textOptions, unitSystem } from './options.js';
import { findingLines, runCommand } from './output.js';
import { textTable } from './table.js';

interface Options extends DialectOptions {
  column?: Partial<Record<StackColumn, string>>;
  unit?: Partial<Record<StackColumn, string>>;
  sheets?: number;
  json?: boolean;
  units: UnitSystem;
}

/** Collects COLUMN=TEXT options. */
function collect(
  text: string,
  before: Partial<Record<StackColumn, string>> = {},
): Partial<Record<StackColumn, string>> {
  const at = text.indexOf('=');
  const column = text.slice(0, at) as StackColumn;
  if (at < 1 || !stackColumns.includes(column))
    throw new InvalidArgumentError(`expected COLUMN=TEXT with COLUMN one of ${stackColumns.join(', ')}`);
  return { ...before, [column]: text.slice(at + 1) };
}

const sheetCount = (text: string): number => {
  const value = Number(text);
  if (!Number.isInteger(value) || value < 1) throw new InvalidArgumentError('expected a whole number from 1');
  return value;
};

export function registerStackTest(program: Command): void {
  const command = program
    .command('stack-test')
    .argument('<file>', 'pressure and height (or strain) of a stack of sheets over several loadings, as text')
    .description('stack law for the roll from a compression test of a stack')
    .option('--sheets <number>', 'sheets in the stack', sheetCount)
    .option('--column <column=header>', 'which column is the pressure, height or strain; repeatable', collect)
    .option('--unit <column=unit>', 'unit that a header lacks; repeatable', collect);
  addDialectOptions(command)
    .option('--json', 'print one JSON document')
    .option('--units <si|us>', 'units of the printed tables', unitSystem, 'si')
    .action((path: string, options: Options) =>
      runCommand(options.json === true, async () => {
        const read = await readStackTest(path, {
          text: textOptions(options),
          columns: options.column,
          units: options.unit,
          sheets: options.sheets,
        });
        const result: StackTestResult =
          read.test === undefined ? { loadings: 0, fits: [], findings: [] } : fitStackTest(read.test);
        const findings = [...read.findings, ...result.findings];
        return {
          document: toStackTestDocument(read.table.source.file, result, findings),
          text: () => stackTestText(read, result, findings, options.units),
          refused: findings.some((f) => f.severity === 'refuse'),
        };
      }),
    );
}

/** Name and quantity of each parameter as printed; a stack's modulus in the unit of pressures, which it is compared with. */
const printed: Readonly<Record<string, readonly [name: string, quantity?: QuantityKey]>> = {
  modulus: ['modulus', 'pressure'],
  k1: ['K1', 'pressure'],
  k2: ['K2'],
  atRest: ['at rest', 'pressure'],
  rise: ['rise', 'pressure'],
  scale: ['over', 'pressure'],
  c0: ['c0', 'pressure'],
};

/** What a person reads of a stack test. */
function stackTestText(
  { table, taken }: ReadStackTest,
  result: StackTestResult,
  findings: readonly Finding[],
  units: UnitSystem,
): string {
  const { used, chosen, caliperAtRest, cycleChange } = result;
  const show = (x: number, quantity: QuantityKey | undefined): string =>
    quantity === undefined ? formatNumber(x, 4) : formatQuantity(x, quantity, units, 4);
  const out = [dialectText(table.source, table.dialect)];
  for (const [role, header] of Object.entries(taken)) out.push(`${role}: column "${header}"`);
  out.push('');
  if (used !== undefined)
    out.push(
      `${result.loadings} loadings; the last, ${show(used.lowest, 'pressure')} to ${show(used.highest, 'pressure')}, compresses the stack by ${formatNumber(100 * used.strain, 3)} %`,
      `${used.samples} samples, of which ${formatNumber(used.independent, 2)} say something of their own${cycleChange === undefined ? '' : `; from the loading before it changed by ${formatNumber(100 * cycleChange, 2)} % of the compression`}`,
      '',
    );
  if (result.fits.length > 0) {
    const best = result.fits[0]?.evidence ?? 0;
    const parameter = ({ name, value, interval95: [low, high] }: FittedParameter): string => {
      const [label, quantity] = printed[name] ?? [name];
      return `${label} ${show(value, quantity)} (${show(low, quantity)} to ${show(high, quantity)})`;
    };
    out.push(
      textTable(
        ['law', 'rms residual', 'largest', 'behind best', 'parameters with 95 % intervals'],
        result.fits.map((f) => [
          `${f.law.law}${f === chosen ? ' *' : ''}`,
          `${formatNumber(100 * f.residualRms, 2)} %`,
          `${formatNumber(100 * f.residualLargest, 2)} %`,
          formatNumber(f.evidence - best, 3),
          f.parameters.map(parameter).join(', '),
        ]),
      ),
      '',
    );
  }
  if (caliperAtRest !== undefined)
    out.push(
      `one sheet without pressure: ${show(caliperAtRest.value, 'caliper')} (${show(caliperAtRest.interval95[0], 'caliper')} to ${show(caliperAtRest.interval95[1], 'caliper')})`,
    );
  if (chosen !== undefined)
    out.push(
      '* chosen; for the web of a product or roll document:',
      `  stack: ${flow(toStackDocument(chosen.law))}`,
      '  and, for a band as wide as the test allows, beside the web of a roll document:',
      `  uncertainty: ${flow(toUncertaintyDocument(chosen))}`,
      '',
    );
  if (findings.length > 0) out.push('findings:', ...findingLines(findings), '');
  out.push(
    'Intervals hold scatter only, not errors of load cell and gauge, nor the spread between stacks: test several.',
  );
  return out.join('\n');
}

/** YAML in one line. */
function flow(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(flow).join(', ')}]`;
  if (typeof value !== 'object' || value === null) return String(value);
  return `{ ${Object.entries(value)
    .map(([key, inner]) => `${key}: ${flow(inner)}`)
    .join(', ')} }`;
}
