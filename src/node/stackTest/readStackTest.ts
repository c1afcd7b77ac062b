import { nearest, TautlineError } from '../../engine/errors.js';
import type { Finding } from '../../engine/findings.js';
import type { RawColumn, RawTable } from '../../engine/recording/recording.js';
import type { StackTest } from '../../engine/roll/stackTest/stackTest.js';
import { toSI } from '../../engine/units/convert.js';
import { parseUnit, unitLabels } from '../../engine/units/parse.js';
import type { QuantityKey } from '../../engine/units/quantity.js';
import { readTextTable } from '../text/readTextTable.js';
import type { TextOptions } from '../text/streamTextTable.js';

/** What a column of a stack test can be: the pressure, and the height of the stack or its strain. */
export const stackColumns = ['pressure', 'height', 'strain'] as const;
export type StackColumn = (typeof stackColumns)[number];

export interface StackTestOptions {
  readonly text?: TextOptions;
  readonly columns?: Partial<Record<StackColumn, string>>;
  readonly units?: Partial<Record<StackColumn, string>>;
  readonly sheets?: number;
}

const quantities: Readonly<Record<StackColumn, QuantityKey>> = {
  pressure: 'pressure',
  height: 'caliper',
  strain: 'ratio',
};

/** A stack test as read; without `test` a finding says what is missing. */
export interface ReadStackTest {
  readonly table: RawTable;
  readonly test?: StackTest;
  readonly taken: Partial<Record<StackColumn, string>>;
  readonly findings: readonly Finding[];
}

/**
 * Reads a stack test from delimited text. Columns are taken as stated, else by their unit, if one column alone has it: pressure, height (length), strain (a ratio, compression
 * positive). A unit is never guessed. @throws TautlineError as readTextTable; column_unknown, unit_unknown for what the user stated wrongly
 */
export async function readStackTest(path: string, options: StackTestOptions = {}): Promise<ReadStackTest> {
  const table = await readTextTable(path, options.text);
  const findings: Finding[] = [...table.findings];
  const taken: Partial<Record<StackColumn, string>> = {};
  const values: Partial<Record<StackColumn, Float64Array>> = {};
  for (const role of stackColumns) {
    if (role === 'strain' && values.height !== undefined && options.columns?.strain === undefined) continue;
    const found = columnFor(table.columns, role, options, findings);
    if (found === undefined) continue;
    taken[role] = found.column.header;
    values[role] = found.column.values.map((v) => toSI(v, quantities[role], found.unit));
  }
  if (values.height !== undefined && values.strain !== undefined)
    findings.push(unusable('both a height and a strain were stated', 'state one of them'));
  const { pressure, height, strain } = values;
  const isRead = !findings.some((f) => f.severity === 'refuse');
  if (isRead && (pressure === undefined || (height === undefined && strain === undefined)))
    findings.push(
      unusable(
        `no column is known to hold the ${pressure === undefined ? 'pressure' : 'height or strain'}; there are ${table.columns.map((c) => `"${c.header}"`).join(', ')}`,
        `write units into the headers, as "pressure [kPa]", or state --column ${pressure === undefined ? 'pressure' : 'height'}=HEADER and --unit ${pressure === undefined ? 'pressure=kPa' : 'height=mm'}`,
      ),
    );
  const left = height ?? strain?.map((e) => 1 - e);
  if (pressure === undefined || left === undefined || findings.some((f) => f.severity === 'refuse'))
    return { table, taken, findings };
  const test: StackTest = {
    pressure,
    height: left,
    isLength: height !== undefined,
    ...(options.sheets !== undefined && { sheets: options.sheets }),
  };
  return { table, test, taken, findings };
}

const unusable = (message: string, next: string): Finding => ({
  code: 'stack_test_unusable',
  severity: 'refuse',
  message,
  where: {},
  next,
});

function columnFor(
  columns: readonly RawColumn[],
  role: StackColumn,
  { columns: stated, units }: StackTestOptions,
  findings: Finding[],
): { column: RawColumn; unit: string } | undefined {
  const quantity = quantities[role];
  const text = units?.[role];
  const statedUnit = text === undefined ? undefined : parseUnit(text, [quantity])?.unit.id;
  if (text !== undefined && statedUnit === undefined)
    throw new TautlineError(
      'unit_unknown',
      { role, unit: text },
      `"${text}" is no unit of the ${role}`,
      `use one of ${unitLabels([quantity]).join(', ')}`,
    );
  const header = stated?.[role];
  if (header === undefined) {
    const fitting = columns.filter(
      (c) => c.unit !== undefined && parseUnit(c.unit, [quantity]) !== undefined,
    );
    const [column] = fitting;
    if (fitting.length > 1)
      findings.push({
        code: 'role_ambiguous',
        severity: 'refuse',
        message: `${fitting.map((c) => `"${c.header}"`).join(' and ')} could each be the ${role}`,
        where: { role, headers: fitting.map((c) => c.header) },
        next: `say which with --column ${role}=HEADER`,
      });
    if (fitting.length !== 1 || column?.unit === undefined) return undefined;
    return { column, unit: statedUnit ?? (parseUnit(column.unit, [quantity])?.unit.id as string) };
  }
  const column = columns.find((c) => c.header === header);
  if (column === undefined)
    throw new TautlineError(
      'column_unknown',
      { header },
      `there is no column "${header}"`,
      `did you mean "${nearest(
        header,
        columns.map((c) => c.header),
      )}"? There are ${columns.map((c) => `"${c.header}"`).join(', ')}`,
    );
  const unit =
    statedUnit ?? (column.unit === undefined ? undefined : parseUnit(column.unit, [quantity])?.unit.id);
  if (unit !== undefined) return { column, unit };
  findings.push({
    code: 'units_missing',
    severity: 'refuse',
    message: `column "${header}" states no unit of the ${role}`,
    where: { role, header },
    next: `state --unit ${role}=UNIT, one of ${unitLabels([quantity]).join(', ')}`,
  });
  return undefined;
}
