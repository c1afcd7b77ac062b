import { recordingName } from '../../../engine/project/visit.js';
import type { Dialect, Role } from '../../../engine/recording/recording.js';
import { roleQuantities } from '../../../engine/recording/roleProposal.js';
import type { Proposal, Question, Statements } from '../../api/types.js';

/** What a person said so far about a dropped file. */
export interface ImportDraft {
  /** Drive that the recording is of; empty while it is not said. */
  readonly drive: string;
  readonly visit: string;
  readonly notes: string;
  readonly statements: Statements;
}

/** Nothing stated but what the file's own name says, where it names a drive of the line. */
export function startDraft(file: string, drives: readonly string[]): ImportDraft {
  const named = recordingName(file);
  const isKnown = named !== undefined && drives.includes(named.drive);
  return {
    drive: isKnown ? named.drive : '',
    visit: isKnown ? named.visit : '',
    notes: '',
    statements: {},
  };
}

/** A draft that was kept when the page was loaded anew; undefined when there is none that can be read. */
export function keptDraft(text: string | null): ImportDraft | undefined {
  if (text === null) return undefined;
  try {
    const kept = JSON.parse(text) as Partial<ImportDraft>;
    return typeof kept.drive === 'string' &&
      typeof kept.visit === 'string' &&
      typeof kept.notes === 'string' &&
      typeof kept.statements === 'object'
      ? (kept as ImportDraft)
      : undefined;
  } catch {
    return undefined;
  }
}

/** Name of the recording: DRIVE.VISIT, by which the board knows where it belongs. */
export const nameOf = ({ drive, visit }: ImportDraft): string => `${drive}.${visit}`;

/** What still stands in the way of the import, in words; undefined when nothing does. */
export function lacking(draft: ImportDraft, proposal: Proposal): string | undefined {
  const { drive, visit } = draft;
  if (proposal.rows.length === 0) return 'say how the text is read: no row of values was found';
  const open = proposal.questions.find((q) => q.needed);
  if (open !== undefined) return `answer the question about the ${open.role.replaceAll('-', ' ')}`;
  if (drive.trim() === '') return 'say which drive this is a recording of';
  if (/[.\\/]/.test(visit)) return 'a visit is one word or a date, without point and slash';
  if (visit.trim() === '') return 'say which visit it is: as found, as left, or the day';
  return undefined;
}

/** The statements with one more, or without it where the value is undefined. Empty ones are left out, so that equal statements are equal. */
export function withChannel(s: Statements, role: Role, header: string | undefined): Statements {
  const { [role]: _, ...others } = s.channels ?? {};
  // one column has one role
  const kept = Object.fromEntries(Object.entries(others).filter(([, h]) => h !== header));
  return tidy({ ...s, channels: header === undefined ? kept : { ...kept, [role]: header } });
}

export function withUnit(s: Statements, role: Role, unit: string | undefined): Statements {
  const { [role]: _, ...others } = s.units ?? {};
  return tidy({ ...s, units: unit === undefined ? others : { ...others, [role]: unit } });
}

export function withDialect<K extends keyof Dialect>(
  s: Statements,
  key: K,
  value: Dialect[K] | undefined,
): Statements {
  const { [key]: _, ...others } = s.dialect ?? {};
  return tidy({ ...s, dialect: value === undefined ? others : { ...others, [key]: value } });
}

export const withInterval = (
  { sampleInterval: _, ...s }: Statements,
  seconds: number | undefined,
): Statements => (seconds === undefined ? s : { ...s, sampleInterval: seconds });

function tidy({ channels, units, dialect, ...s }: Statements): Statements {
  const isUsed = (part: object | undefined): boolean => part !== undefined && Object.keys(part).length > 0;
  return {
    ...s,
    ...(isUsed(channels) && { channels: channels as NonNullable<Statements['channels']> }),
    ...(isUsed(units) && { units: units as NonNullable<Statements['units']> }),
    ...(isUsed(dialect) && { dialect: dialect as NonNullable<Statements['dialect']> }),
  };
}

/** Role by role, what is taken for it and who said so. */
export interface RoleRow {
  readonly role: Role;
  /** Column of the role; undefined where there is none. */
  readonly header?: string;
  readonly unit?: string;
  readonly by?: 'you' | 'header';
  /** The unit is the person's own word, or the file's. */
  readonly unitBy?: 'you' | 'file';
  readonly needsUnit: boolean;
  readonly question?: Question;
}

/** What can be asked about: all roles that a column can have. */
export function roleRows(roles: readonly Role[], { columns, questions }: Proposal, s: Statements): RoleRow[] {
  return roles.map((role): RoleRow => {
    const column = columns.find((c) => c.role === role);
    const question = questions.find((q) => q.role === role);
    const unit = s.units?.[role] ?? column?.unit;
    return {
      role,
      ...(column && {
        header: column.header,
        by: s.channels?.[role] === undefined ? ('header' as const) : ('you' as const),
      }),
      ...(column && unit !== undefined && { unit, unitBy: s.units?.[role] === undefined ? 'file' : 'you' }),
      needsUnit:
        column !== undefined &&
        roleQuantities[role].length > 0 &&
        !(role === 'time' && column.kind !== 'number'),
      ...(question && { question }),
    };
  });
}
