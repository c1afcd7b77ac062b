import { type TSchema, Type } from 'typebox';
import { roles } from '../../engine/recording/recording.js';
import { Name, strict } from './common.js';

const Header = Type.String({ minLength: 1, maxLength: 1000 });

/** A text for each of some roles. */
const byRole = <T extends TSchema>(value: T) =>
  Type.Object(Object.fromEntries(roles.map((role) => [role, Type.Optional(value)])), strict);

export const DialectPart = Type.Object(
  {
    encoding: Type.Optional(
      Type.Union(['utf-8', 'utf-16le', 'utf-16be', 'latin-1'].map((e) => Type.Literal(e))),
    ),
    separator: Type.Optional(Type.Union([',', ';', '\t', '|'].map((s) => Type.Literal(s)))),
    decimal: Type.Optional(Type.Union([Type.Literal('.'), Type.Literal(',')])),
    titleLines: Type.Optional(Type.Integer({ minimum: 0, maximum: 100_000 })),
    hasHeader: Type.Optional(Type.Boolean()),
    hasUnitRow: Type.Optional(Type.Boolean()),
  },
  strict,
);

const statements = {
  channels: Type.Optional(byRole(Header)),
  units: Type.Optional(byRole(Type.String({ minLength: 1, maxLength: 40 }))),
  sampleInterval: Type.Optional(Type.Number({ exclusiveMinimum: 0, maximum: 1e6 })),
  dialect: Type.Optional(DialectPart),
  headerRow: Type.Optional(Type.Integer({ minimum: 1, maximum: 100_000 })),
};

/** What a user states about an upload. */
export const StatementsBody = Type.Object(statements, strict);
/** What an upload is to become. */
export const ImportBody = Type.Object(
  {
    name: Name,
    drive: Type.Optional(Name),
    notes: Type.Optional(Type.String({ maxLength: 10_000 })),
    ...statements,
  },
  strict,
);

export const TraceQuery = Type.Object(
  {
    channel: Header,
    from: Type.Optional(Type.Number()),
    to: Type.Optional(Type.Number()),
    buckets: Type.Optional(Type.Integer({ minimum: 1, maximum: 20_000 })),
  },
  strict,
);
