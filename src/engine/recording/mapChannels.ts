import { TautlineError } from '../errors.js';
import type { Finding } from '../findings.js';
import type { Drive } from '../line/drive.js';
import { type ParsedUnit, parseUnit, unitLabels } from '../units/parse.js';
import type { Channel, RawColumn, RawTable, Recording, Role } from './recording.js';
import { proposeRoles, roleQuantities } from './roleProposal.js';
import { buildTimeBase, type TimeBase } from './timeBase.js';

export interface MapOptions {
  /** Headers that the user states; exact, or without the unit bracket when that is unique. */
  readonly channels?: Partial<Record<Role, string>>;
  /** Units that the user states, where the header lacks one. */
  readonly units?: Partial<Record<Role, string>>;
  /** Sampling interval [s] of a file without time. */
  readonly sampleInterval?: number;
  /** Turns the sign of the torque, after the tool has flagged it. */
  readonly flipTorque?: boolean;
}

const order: readonly Role[] = [
  'time',
  'motor-torque',
  'motor-speed',
  'roller-speed',
  'motor-position',
  'speed-reference',
  'line-speed',
  'web-tension',
  'roll-diameter',
  'drive-enabled',
];

/** Without these nothing can be identified; a fault in them refuses, in others it leaves the channel out. */
const essential: ReadonlySet<Role> = new Set([
  'motor-torque',
  'motor-speed',
  'roller-speed',
  'motor-position',
]);

/** Fewer samples than this hold no plateau and no ramp. */
const fewestRows = 20;

/**
 * Makes a recording of a parsed table: which column is what, its unit, SI at the motor shaft or the surface, one time base.
 * What the file does not say is a finding, never a guess. @throws TautlineError column_unknown, unit_unknown for what the
 * user stated wrongly.
 */
export function mapChannels(table: RawTable, drive: Drive, options: MapOptions = {}): Recording {
  const findings: Finding[] = [...table.findings];
  const chosen = chooseColumns(table, options, findings);
  const base = timeBaseOf(table, chosen.get('time'), options, findings);
  const timeColumn = chosen.get('time');
  const empty: Recording = {
    time: base?.time ?? new Float64Array(),
    channels: {},
    timeSource: {
      header: timeColumn?.header ?? (options.sampleInterval === undefined ? '' : 'sample index'),
      unit: options.units?.time ?? timeColumn?.unit ?? (timeColumn?.kind === 'number' ? '' : 's'),
    },
    findings,
    source: table.source,
  };
  if (base === undefined || findings.some((f) => f.severity === 'refuse')) return empty;
  if (base.time.length < fewestRows) {
    findings.push({
      code: 'too_short',
      severity: 'refuse',
      message: `${base.time.length} usable rows are too few to identify anything`,
      where: { rows: base.time.length },
      next: `record at least a few seconds at each of several speeds`,
    });
    return empty;
  }
  const channels: Partial<Record<Exclude<Role, 'time'>, Channel>> = {};
  for (const [role, column] of chosen) {
    if (role === 'time') continue;
    const channel = toChannel(role, column, base, drive, options, findings);
    if (channel !== undefined) channels[channel.role as Exclude<Role, 'time'>] = channel;
  }
  return { ...empty, channels };
}

/** Columns by role: those the user states, then those proposed by header and unit. */
function chooseColumns(table: RawTable, options: MapOptions, findings: Finding[]): Map<Role, RawColumn> {
  const chosen = new Map<Role, RawColumn>();
  for (const [role, header] of Object.entries(options.channels ?? {}) as [Role, string][])
    chosen.set(role, findColumn(table.columns, header, role));
  const open = order.filter(
    (role) => !chosen.has(role) && !(role === 'time' && options.sampleInterval !== undefined),
  );
  const { proposals, ambiguities } = proposeRoles(table.columns, open, new Set(chosen.values()));
  for (const { role, column } of proposals) chosen.set(role, column);
  for (const { role, headers } of ambiguities)
    findings.push({
      code: 'role_ambiguous',
      severity: essential.has(role) && !motionChosen(role, chosen) ? 'refuse' : 'info',
      message: `${headers.map((h) => `"${h}"`).join(' and ')} could each be the ${role}; none was taken`,
      where: { role, headers },
      next: `say which with --channel ${role}=HEADER`,
    });
  return chosen;
}

/** True when an ambiguous motion role does not matter, because another tells the motion. */
function motionChosen(role: Role, chosen: ReadonlyMap<Role, RawColumn>): boolean {
  if (role === 'motor-torque') return false;
  return (['motor-speed', 'roller-speed', 'motor-position'] as const).some(
    (r) => r !== role && chosen.has(r),
  );
}

const bare = (header: string): string =>
  header
    .replace(/\s*[[(][^\])]*[\])]\s*$/, '')
    .trim()
    .toLowerCase();

/** @throws TautlineError column_unknown */
function findColumn(columns: readonly RawColumn[], header: string, role: Role): RawColumn {
  const exact = columns.find((c) => c.header === header);
  if (exact !== undefined) return exact;
  const loose = columns.filter(
    (c) => c.header.trim().toLowerCase() === header.trim().toLowerCase() || bare(c.header) === bare(header),
  );
  if (loose.length === 1) return loose[0];
  const headers = columns.map((c) => c.header);
  throw new TautlineError(
    'column_unknown',
    { role, header, headers },
    loose.length > 1
      ? `"${header}" fits ${loose.length} columns: ${loose.map((c) => `"${c.header}"`).join(', ')}`
      : `there is no column "${header}"; the file has ${headers.map((h) => `"${h}"`).join(', ')}`,
    `give the header as it stands in the file: --channel ${role}=HEADER`,
  );
}

function timeBaseOf(
  table: RawTable,
  column: RawColumn | undefined,
  options: MapOptions,
  findings: Finding[],
): TimeBase | undefined {
  if (options.sampleInterval !== undefined) {
    const { sampleInterval } = options;
    return {
      time: Float64Array.from({ length: table.rows }, (_, i) => i * sampleInterval),
      rows: Int32Array.from({ length: table.rows }, (_, i) => i),
    };
  }
  if (findings.some((f) => f.severity === 'refuse')) return undefined;
  if (column === undefined) {
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
    const parsed = unitOf('time', column, options, findings);
    if (parsed === undefined) return undefined;
    factor = parsed.unit.factor;
  }
  return buildTimeBase(factor === 1 ? column.values : column.values.map((v) => v * factor), findings);
}

/** The unit of a channel, stated or in the file; a finding when there is none or it means nothing. */
function unitOf(
  role: Role,
  column: RawColumn,
  options: MapOptions,
  findings: Finding[],
): ParsedUnit | undefined {
  const among = roleQuantities[role];
  const stated = options.units?.[role];
  const text = stated ?? column.unit;
  const parsed = text === undefined ? undefined : parseUnit(text, among);
  if (parsed !== undefined) return parsed;
  const known = unitLabels(among).join(', ');
  if (stated !== undefined)
    throw new TautlineError(
      'unit_unknown',
      { role, unit: stated },
      `"${stated}" is no unit of ${role}`,
      `use one of ${known}`,
    );
  const needed = role === 'time' || essential.has(role);
  findings.push({
    code: 'units_missing',
    severity: needed ? 'refuse' : 'warn',
    message:
      text === undefined
        ? `column "${column.header}" (${role}) states no unit${needed ? '' : '; it was left out'}`
        : `the unit "${text}" of column "${column.header}" is not known for ${role}${needed ? '' : '; it was left out'}`,
    where: { role, header: column.header, unit: text ?? '' },
    next: `state it with --unit ${role}=UNIT, one of ${known}`,
  });
  return undefined;
}

function toChannel(
  role: Exclude<Role, 'time'>,
  column: RawColumn,
  base: TimeBase,
  drive: Drive,
  options: MapOptions,
  findings: Finding[],
): Channel | undefined {
  const severity = essential.has(role) ? 'refuse' : 'warn';
  const where = { role, header: column.header };
  if (column.textCells > 0 && column.textCells < column.values.length)
    findings.push({
      code: 'text_in_numeric_column',
      severity: column.textCells > 0.5 * column.values.length ? severity : 'warn',
      message: `${column.textCells} cells of column "${column.header}" hold text, the first "${column.firstText?.text ?? ''}" in line ${column.firstText?.line ?? 0}; they count as missing`,
      where: { ...where, cells: column.textCells, line: column.firstText?.line ?? 0 },
      next: 'nothing to do if these are quality words of a historian; otherwise correct the file',
    });
  if (column.values.every((v) => Number.isNaN(v))) {
    const word =
      column.textCells > 0 ? `only text, the first "${column.firstText?.text ?? ''}"` : 'no number at all';
    findings.push({
      code: 'nan_column',
      severity,
      message: `column "${column.header}" (${role}) holds ${word}`,
      where,
      next: `check the export, or name another column with --channel ${role}=HEADER`,
    });
    return undefined;
  }
  if (role === 'drive-enabled')
    return { role, header: column.header, unit: '', values: pick(column.values, base, 1) };
  const parsed = unitOf(role, column, options, findings);
  if (parsed === undefined) return undefined;
  const scale = scaleOf(role, parsed, column, drive, findings);
  if (scale === undefined) return undefined;
  const sign = scale.role === 'motor-torque' && options.flipTorque ? -1 : 1;
  return {
    role: scale.role,
    header: column.header,
    unit: options.units?.[role] ?? column.unit ?? parsed.unit.label,
    values: pick(column.values, base, sign * scale.factor),
  };
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
  role: Exclude<Role, 'time'>,
  { quantity, unit }: ParsedUnit,
  column: RawColumn,
  drive: Drive,
  findings: Finding[],
): { role: Exclude<Role, 'time'>; factor: number } | undefined {
  const lacking = (key: string, why: string): undefined => {
    findings.push({
      code: 'units_missing',
      severity: essential.has(role) ? 'refuse' : 'warn',
      message: `column "${column.header}" is in ${unit.label}, and the drive file gives no ${key} to ${why}`,
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
