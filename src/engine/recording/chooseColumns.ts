import { nearest, TautlineError } from '../errors.js';
import type { Finding } from '../findings.js';
import { type ParsedUnit, parseUnit, unitLabels, unitTrap } from '../units/parse.js';
import type { RawColumn, Role } from './recording.js';
import { hasUnfitUnit, isSideUnclear, proposeRoles, roleQuantities } from './roleProposal.js';

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

export const motionRoles: readonly Role[] = ['motor-speed', 'roller-speed', 'motor-position'];

/** What each role was taken to be. */
export type Chosen = ReadonlyMap<Role, RawColumn>;

/**
 * Can nothing be identified without this role? The torque, and the motion unless another column tells it too. A fault in such a column,
 * or in one that the user named, refuses; in others it leaves the channel out.
 */
export function isNeeded(role: Role, chosen: Chosen, options: MapOptions): boolean {
  if (role === 'time' || role === 'motor-torque') return true;
  if (options.channels?.[role] !== undefined) return true;
  return motionRoles.includes(role) && !motionRoles.some((r) => r !== role && chosen.has(r));
}

/**
 * Columns by role: those the user states, then those proposed by header and unit. Two columns that fit equally well leave the role open,
 * with a finding. @throws TautlineError column_unknown
 */
export function chooseColumns(
  columns: readonly RawColumn[],
  driveName: string | undefined,
  options: MapOptions,
  findings: Finding[],
): Map<Role, RawColumn> {
  const chosen = new Map<Role, RawColumn>();
  for (const [role, header] of Object.entries(options.channels ?? {}) as [Role, string][])
    chosen.set(role, findColumn(columns, header, role));
  const open = order.filter(
    (role) => !chosen.has(role) && !(role === 'time' && options.sampleInterval !== undefined),
  );
  const { proposals, ambiguities } = proposeRoles(columns, open, new Set(chosen.values()), {
    driveName,
    units: options.units,
  });
  for (const { role, column } of proposals) chosen.set(role, column);
  for (const { role, headers } of ambiguities)
    findings.push({
      code: 'role_ambiguous',
      severity: isNeeded(role, chosen, options) ? 'refuse' : 'info',
      message: `${headers.map((h) => `"${h}"`).join(' and ')} could each be the ${role}; none was taken`,
      where: { role, headers },
      next: `say which with --channel ${role}=HEADER`,
    });
  const ambiguous = new Set(ambiguities.map((a) => a.role));
  const left = columns.filter((c) => ![...chosen.values()].includes(c));
  for (const role of ['motor-torque', 'motor-speed', 'speed-reference'] as const)
    if (!chosen.has(role) && !ambiguous.has(role)) findings.push(...leftOut(role, left, chosen, options));
  for (const role of Object.keys(options.units ?? {}) as Role[])
    if (!chosen.has(role))
      findings.push({
        code: 'role_missing',
        severity: 'warn',
        message: `a unit was stated for ${role}, but no column was taken for it`,
        where: { role, headers: columns.map((c) => c.header) },
        next: `name the column with --channel ${role}=HEADER`,
      });
  return chosen;
}

/** Why columns that by their words could fill an open role were not taken: unit of another quantity, or a speed of which side is unclear. */
function leftOut(
  role: 'motor-torque' | 'motor-speed' | 'speed-reference',
  columns: readonly RawColumn[],
  chosen: Chosen,
  options: MapOptions,
): Finding[] {
  if (role === 'motor-speed' && motionRoles.some((r) => chosen.has(r))) return [];
  const severity = isNeeded(role, chosen, options) ? 'refuse' : 'warn';
  const unfit = columns
    .filter((column) => hasUnfitUnit(column, role))
    .map((column): Finding => {
      const unit = column.unit ?? '';
      const trap = unitTrap(unit);
      return {
        code: 'units_missing',
        severity,
        message: `column "${column.header}" could be the ${role}, but "${unit}" is no unit of it${trap === undefined ? '' : `: ${trap}`}; it was left out`,
        where: { role, header: column.header, unit },
        next: `export it in one of ${unitLabels(roleQuantities[role]).join(', ')}; where only the header is wrong, state --channel and --unit ${role}=UNIT`,
      };
    });
  const unclear = role === 'motor-speed' ? columns.filter(isSideUnclear) : [];
  return [
    ...unfit,
    ...unclear.map(
      (column): Finding => ({
        code: 'role_ambiguous',
        severity,
        message: `"${column.header}" may be the speed of the motor or, behind the gearbox, of the roller; it was not taken`,
        where: { role, headers: [column.header] },
        next: "say which with --channel 'motor-speed=HEADER' or --channel 'roller-speed=HEADER'",
      }),
    ),
  ];
}

/** A header as compared when it is not typed exactly: without a unit in brackets at its end, without case. */
const bare = (header: string): string =>
  header
    .replace(/\s*[[(][^\])]*[\])]\s*$/, '')
    .trim()
    .toLowerCase();

/** The header that is most like one mistyped; its unit in brackets does not count as a difference. */
const nearestHeader = (header: string, headers: readonly string[]): string =>
  headers[headers.map(bare).indexOf(nearest(bare(header), headers.map(bare)))] ?? '';

/** @throws TautlineError column_unknown */
function findColumn(columns: readonly RawColumn[], header: string, role: Role): RawColumn {
  const exact = columns.find((c) => c.header === header);
  if (exact !== undefined) return exact;
  const full = (text: string): string => text.trim().toLowerCase();
  const sameText = columns.filter((c) => full(c.header) === full(header));
  const loose = sameText.length > 0 ? sameText : columns.filter((c) => bare(c.header) === full(header));
  if (loose.length === 1) return loose[0];
  const headers = columns.map((c) => c.header);
  throw new TautlineError(
    'column_unknown',
    { role, header, headers },
    loose.length > 1
      ? `"${header}" fits ${loose.length} columns: ${loose.map((c) => `"${c.header}"`).join(', ')}`
      : `there is no column "${header}"; the file has ${headers.map((h) => `"${h}"`).join(', ')}`,
    `give the header as it stands in the file, for instance --channel '${role}=${loose[0]?.header ?? nearestHeader(header, headers)}'`,
  );
}

/**
 * The unit of a column, stated or in the file; a finding when there is none or it means nothing for the role.
 * @throws TautlineError unit_unknown for a unit that the user stated
 */
export function unitOf(
  role: Role,
  column: RawColumn,
  chosen: Chosen,
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
  const needed = isNeeded(role, chosen, options);
  const why = text === undefined ? undefined : unitTrap(text);
  const trap = why === undefined ? '' : ` (${why})`;
  findings.push({
    code: 'units_missing',
    severity: needed ? 'refuse' : 'warn',
    message:
      text === undefined
        ? `column "${column.header}" (${role}) states no unit${needed ? '' : '; it was left out'}`
        : `the unit "${text}" of column "${column.header}" is not known for ${role}${trap}${needed ? '' : '; it was left out'}`,
    where: { role, header: column.header, ...(text === undefined ? {} : { unit: text }) },
    next: `state it with --unit ${role}=UNIT, one of ${known}`,
  });
  return undefined;
}
