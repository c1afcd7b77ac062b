import type { Finding } from '../findings.js';
import type { Drive } from '../line/drive.js';
import type { ParsedUnit } from '../units/parse.js';
import { type Chosen, chooseColumns, isNeeded, type MapOptions, unitOf } from './chooseColumns.js';
import type { Channel, RawColumn, RawTable, Recording, Role } from './recording.js';
import { buildTimeBase, type TimeBase } from './timeBase.js';
import { unwrapAngle } from './unwrapAngle.js';
import { rowsToPassOver } from './wholeRows.js';

export type { MapOptions } from './chooseColumns.js';

type ChannelRole = Exclude<Role, 'time'>;

/** Fewer samples than this hold no plateau and no ramp. */
const fewestRows = 20;

/**
 * Makes a recording of a parsed table: which column is what, its unit, SI at the motor shaft or the surface, one time base.
 * What the file does not say is a finding, never a guess. @throws TautlineError column_unknown, unit_unknown for what the
 * user stated wrongly.
 */
export function mapChannels(table: RawTable, drive: Drive, options: MapOptions = {}): Recording {
  const findings: Finding[] = [...table.findings];
  const chosen = chooseColumns(table.columns, drive.name, options, findings);
  const passOver = rowsToPassOver(chosen, fewestRows, findings);
  const base = timeBaseOf(table, chosen, options, findings, passOver);
  const timeColumn = chosen.get('time');
  const counted = options.sampleInterval !== undefined;
  const empty: Recording = {
    time: base?.time ?? new Float64Array(),
    channels: {},
    timeSource: {
      header: timeColumn?.header ?? (counted ? 'sample index' : ''),
      unit: counted ? `${options.sampleInterval} s` : timeUnit(timeColumn, options),
    },
    findings,
    source: table.source,
  };
  if (base === undefined) return empty;
  if (base.time.length < fewestRows)
    findings.push({
      code: 'too_short',
      severity: 'refuse',
      message: `${base.time.length} usable rows are too few to identify anything`,
      where: { rows: base.time.length },
      next: 'record at least a few seconds at each of several speeds',
    });
  // All channels are looked at even when one is refused: the user then sees everything that is to be put right at once.
  const channels: Partial<Record<ChannelRole, Channel>> = {};
  for (const [role, column] of chosen) {
    if (role === 'time') continue;
    const channel = toChannel(role, column, base, {
      drive,
      chosen,
      options,
      findings,
      passedOver: passOver !== undefined,
    });
    if (channel !== undefined) channels[channel.role as ChannelRole] ??= channel;
  }
  return { ...empty, channels };
}

/** The time axis of a table with the columns that were taken for each role. */
export interface TableTime {
  /** Undefined when no column is known to be the time. */
  readonly base: TimeBase | undefined;
  readonly chosen: Chosen;
  readonly findings: readonly Finding[];
}

/**
 * The time axis [s] of a table without knowing its drive, for drawing its columns as they stand in the file. The same rows are kept as by
 * mapChannels with the same options. @throws TautlineError column_unknown, unit_unknown for what the user stated wrongly
 */
export function tableTime(table: RawTable, options: MapOptions = {}): TableTime {
  const findings: Finding[] = [...table.findings];
  const chosen = chooseColumns(table.columns, undefined, options, findings);
  const passOver = rowsToPassOver(chosen, fewestRows, findings);
  return { base: timeBaseOf(table, chosen, options, findings, passOver), chosen, findings };
}

const timeUnit = (column: RawColumn | undefined, options: MapOptions): string =>
  options.units?.time ?? column?.unit ?? (column === undefined || column.kind === 'number' ? '' : 's');

function timeBaseOf(
  table: RawTable,
  chosen: Chosen,
  options: MapOptions,
  findings: Finding[],
  passOver: Uint8Array | undefined,
): TimeBase | undefined {
  if (table.findings.some((f) => f.severity === 'refuse')) return undefined;
  const column = chosen.get('time');
  const { sampleInterval } = options;
  if (sampleInterval !== undefined) {
    // a column that was named as time beside an interval counts samples: lost ones show as gaps
    const index = column?.values ?? Float64Array.from({ length: table.rows }, (_, i) => i);
    return buildTimeBase(
      index.map((i) => i * sampleInterval),
      findings,
      passOver,
    );
  }
  if (column === undefined) {
    if (!findings.some((f) => f.where.role === 'time'))
      findings.push({
        code: 'role_missing',
        severity: 'refuse',
        message: 'no column is known to be the time',
        where: { role: 'time', headers: table.columns.map((c) => c.header) },
        next: 'name it with --channel time=HEADER, or state --sample-interval SECONDS',
      });
    return undefined;
  }
  let factor = 1;
  if (column.kind === 'number') {
    const parsed = unitOf('time', column, chosen, options, findings);
    if (parsed === undefined) return undefined;
    factor = parsed.unit.factor;
  }
  if (column.values.every(Number.isNaN)) {
    findings.push(emptyColumn('time', column, 'refuse'));
    return undefined;
  }
  return buildTimeBase(
    factor === 1 ? column.values : column.values.map((v) => v * factor),
    findings,
    passOver,
  );
}

function emptyColumn(role: Role, column: RawColumn, severity: 'refuse' | 'warn'): Finding {
  const word =
    column.textCells > 0 ? `only text, the first "${column.firstText?.text ?? ''}"` : 'no number at all';
  return {
    code: 'nan_column',
    severity,
    message: `column "${column.header}" (${role}) holds ${word}${severity === 'warn' ? '; it was left out' : ''}`,
    where: { role, header: column.header },
    next: `check the export, or name another column with --channel ${role}=HEADER`,
  };
}

interface Context {
  readonly drive: Drive;
  readonly chosen: Chosen;
  readonly options: MapOptions;
  readonly findings: Finding[];
  /** Were rows passed over because channels of several rates share the file? Their blank cells are then no loss. */
  readonly passedOver: boolean;
}

function toChannel(
  role: ChannelRole,
  column: RawColumn,
  base: TimeBase,
  context: Context,
): Channel | undefined {
  const { chosen, options, findings } = context;
  const severity = isNeeded(role, chosen, options) ? 'refuse' : 'warn';
  if (column.values.every(Number.isNaN)) {
    findings.push(emptyColumn(role, column, severity));
    return undefined;
  }
  const blankCells = context.passedOver
    ? Math.min(column.blankCells, pick(column.values, base, 1).filter(Number.isNaN).length)
    : column.blankCells;
  findings.push(...cellFindings(role, column, blankCells, severity));
  if (role === 'drive-enabled') {
    // a state word counts as enabled when it is not 0
    const on = column.values.map((v) => (Number.isNaN(v) ? v : v === 0 ? 0 : 1));
    return { role, header: column.header, unit: '', values: pick(on, base, 1) };
  }
  const parsed = unitOf(role, column, chosen, options, findings);
  if (parsed === undefined) return undefined;
  const scale = scaleOf(role, parsed, column, severity, context);
  if (scale === undefined) return undefined;
  const sign = scale.role === 'motor-torque' && options.flipTorque ? -1 : 1;
  const values = pick(column.values, base, sign * scale.factor);
  return {
    role: scale.role,
    header: column.header,
    // As the file has it, but a share of rated torque always as %, however the file words it.
    unit: parsed.unit.id === 'percent' ? '%' : (options.units?.[role] ?? column.unit ?? parsed.unit.label),
    values: scale.role === 'motor-position' ? carriedOn(values, column, severity, findings) : values,
  };
}

/** A position without the jumps of an encoder that starts again every turn; a finding about them. */
function carriedOn(
  position: Float64Array,
  column: RawColumn,
  severity: 'refuse' | 'warn',
  findings: Finding[],
): Float64Array {
  const unwrapped = unwrapAngle(position);
  if (unwrapped === undefined) return position;
  const where = { role: 'motor-position', header: column.header };
  if (unwrapped === 'unclear') {
    findings.push({
      code: 'position_wrapped',
      severity,
      message: `column "${column.header}" starts again every turn, and the shaft turns by about half a turn or more between samples, so its way cannot be followed`,
      where,
      next: 'record the position over several turns, record the speed, or sample faster',
    });
    return position.map(() => Number.NaN);
  }
  findings.push({
    code: 'position_wrapped',
    severity: 'info',
    message: `column "${column.header}" starts again every turn; it was carried on, in all by ${unwrapped.turns} turns`,
    where: { ...where, turns: unwrapped.turns },
    next: 'nothing to do as long as the shaft turns less than half a turn between samples',
  });
  return unwrapped.angle;
}

/** What the cells without a number amount to. */
function cellFindings(
  role: Role,
  column: RawColumn,
  blankCells: number,
  severity: 'refuse' | 'warn',
): Finding[] {
  const found: Finding[] = [];
  const rows = column.values.length;
  const first = column.firstText;
  if (column.textCells > 0)
    found.push({
      code: 'text_in_numeric_column',
      severity: column.textCells > 0.5 * rows ? severity : 'warn',
      message: `${column.textCells} of ${rows} cells of column "${column.header}" hold text, the first "${first?.text ?? ''}" in line ${first?.line ?? 0}; they count as missing`,
      where: { role, header: column.header, cells: column.textCells, line: first?.line ?? 0 },
      next: 'nothing to do if these are quality words of a historian; otherwise correct the file',
    });
  if (blankCells > 0)
    found.push({
      code: 'missing_samples',
      severity: blankCells > 0.01 * rows ? 'warn' : 'info',
      message: `${blankCells} of ${rows} cells of column "${column.header}" are blank; nothing was filled in`,
      where: { role, header: column.header, cells: blankCells },
      next: 'export all channels at one rate if many cells are blank',
    });
  return found;
}

/** Values of the kept rows times a factor; NaN where a gap is marked. */
function pick(values: Float64Array, base: TimeBase, factor: number): Float64Array {
  const out = new Float64Array(base.rows.length);
  for (let k = 0; k < out.length; k++) out[k] = base.rows[k] < 0 ? Number.NaN : factor * values[base.rows[k]];
  return out;
}

/**
 * Factor from the file's unit to the engine's, and the role that results: a speed stated at the surface is the roller's, one
 * stated in turns is the motor's unless it was called the roller's. A finding when the drive file lacks what is needed.
 */
function scaleOf(
  role: ChannelRole,
  { quantity, unit }: ParsedUnit,
  column: RawColumn,
  severity: 'refuse' | 'warn',
  { drive, findings }: Context,
): { role: ChannelRole; factor: number } | undefined {
  const lacking = (key: string, why: string): undefined => {
    findings.push({
      code: 'units_missing',
      severity,
      message: `column "${column.header}" is in ${unit.label}, and the drive file gives no ${key} to ${why}${severity === 'warn' ? '; it was left out' : ''}`,
      where: { role, header: column.header, unit: unit.label, key },
      next: `add ${key} to the drive file`,
    });
    return undefined;
  };
  const { rollerRadius, gearRatio } = drive;
  if (role === 'motor-torque') {
    if (quantity === 'torqueFraction')
      return drive.ratedTorque === undefined
        ? lacking('rated_torque_Nm', 'make a torque of it')
        : { role, factor: unit.factor * drive.ratedTorque };
    if (quantity === 'current')
      return drive.torqueConstant === undefined
        ? lacking('torque_constant_Nm_per_A', 'make a torque of it')
        : { role, factor: unit.factor * drive.torqueConstant };
  }
  if (role === 'motor-speed' && quantity === 'speed') return { role: 'roller-speed', factor: unit.factor };
  if (role === 'roller-speed' && quantity === 'angularSpeed')
    return rollerRadius === undefined
      ? lacking('roller_diameter_m', 'bring it to the surface')
      : { role, factor: unit.factor * rollerRadius };
  if (role === 'speed-reference' && quantity === 'speed')
    return rollerRadius === undefined
      ? lacking('roller_diameter_m', 'bring it to the motor')
      : { role, factor: (unit.factor * gearRatio) / rollerRadius };
  if (role === 'web-tension' && quantity === 'tensionPerWidth')
    return drive.web === undefined
      ? lacking('web.width_m', 'make a total tension of it')
      : { role, factor: unit.factor * drive.web.width };
  return { role, factor: unit.factor };
}
