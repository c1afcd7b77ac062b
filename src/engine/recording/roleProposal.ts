import { parseUnit } from '../units/parse.js';
import type { QuantityKey } from '../units/quantity.js';
import type { RawColumn, Role } from './recording.js';

/** Quantities in which each role may be stated; an enable signal needs none. */
export const roleQuantities: Record<Role, readonly QuantityKey[]> = {
  time: ['time'],
  'speed-reference': ['angularSpeed', 'speed'],
  'motor-speed': ['angularSpeed', 'speed'],
  'motor-position': ['angle'],
  'roller-speed': ['speed', 'angularSpeed'],
  'line-speed': ['speed'],
  'motor-torque': ['torque', 'torqueFraction', 'current'],
  'web-tension': ['tension', 'tensionPerWidth'],
  'roll-diameter': ['length'],
  'drive-enabled': [],
};

// Words of exports in English, German, French, Spanish, Dutch and Italian, accents removed.
const words = {
  time: /\b(time|times|timestamp|zeit|uhrzeit|temps|tiempo|tijd|tempo|clock|date|datum|t)\b/,
  speed:
    /\b(speeds?|spd|velocity|vel|rpm|drehzahl|geschwindigkeit|vitesse|velocidad|snelheid|toerental|velocita|n|omega|nact|nist)\b|speed/,
  torque: /\b(torque|trq|tq|drehmoment|moment|couple|koppel|par|coppia|md|m|mact|mist)\b|torque|moment/,
  current: /\b(current|strom|courant|corriente|stroom|corrente|iq|amps?|i)\b/,
  position: /\b(position|pos|angle|winkel|lage|encoder|theta|phi|posicion|hoek|angolo|rotation)\b/,
  tension:
    /\b(tension|zug|bahnzug|zugkraft|bahnspannung|load cell|loadcell|tiro|trekkracht|spanning)\b|tension|zugkraft/,
  diameter: /\b(diameter|diam|dia|durchmesser|diametre|diametro|d roll|roll d|od)\b|diameter|durchmesser/,
  enabled: /\b(enabled?|run|running|on|ready|freigabe|active|aktiv|ein|marche|enable)\b/,
  reference:
    /\b(ref|reference|set|setpoint|sp|soll|sollwert|cmd|command|target|demand|consigne|setp|nset|vset|msoll|nsoll|limit|max|min)\b|setpoint|sollwert/,
  actual: /\b(act|actual|ist|istwert|fbk|feedback|measured|mess|pv|reel|real|value)\b/,
  line: /\b(line|bahn|web|master|linie|ligne|linea)\b/,
  surface: /\b(surface|roller|roll|umfang|walze|rouleau|circumferential|peripheral)\b/,
  motor: /\b(motor|mot|moteur|shaft|drive)\b/,
} as const;

/** Header text for word matching: no unit brackets, no accents, separators as spaces, camel case split. */
function plain(column: RawColumn): string {
  return column.header
    .replace(/[[(][^\])]*[\])]/g, ' ')
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .normalize('NFD')
    .replace(/[\u0300-\u036f]/g, '')
    .toLowerCase()
    .replace(/[^a-z0-9°%]+/g, ' ')
    .trim();
}

/**
 * How well a column fits a role: 0 not at all. Words count 2, "actual" against "reference" 1, a fitting unit 1; a unit of
 * another quantity rules a role out, whatever the words say.
 */
function fitness(column: RawColumn, role: Role): number {
  const text = plain(column);
  const has = (kind: keyof typeof words): boolean => words[kind].test(text);
  const allowed = roleQuantities[role];
  const anyUnit =
    column.unit === undefined ? undefined : parseUnit(column.unit, Object.values(roleQuantities).flat());
  const own = column.unit === undefined ? undefined : parseUnit(column.unit, allowed);
  if (column.kind === 'text') return 0;
  if (role === 'time') {
    if (column.kind === 'datetime' || column.kind === 'clock') return 4;
    if (column.kind !== 'number') return 0;
    return own !== undefined ? (has('time') ? 3 : 1.5) : has('time') && column.unit === undefined ? 2 : 0;
  }
  if (role === 'drive-enabled') return has('enabled') && isBinary(column.values) ? 3 : 0;
  if (column.kind !== 'number') return 0;
  if (column.unit !== undefined && own === undefined && anyUnit !== undefined) return 0;
  const unitScore = own === undefined ? 0 : 1;
  const reference = has('reference') && !has('actual');
  const actual = has('actual') ? 1 : 0;
  const surfaceUnit = own?.quantity === 'speed';
  switch (role) {
    case 'speed-reference':
      return has('speed') && reference ? 3 + unitScore : 0;
    case 'motor-speed':
      if (reference || has('line') || surfaceUnit) return 0;
      return has('speed')
        ? 2 + unitScore + actual + (has('motor') ? 1 : 0) - (has('surface') ? 1.5 : 0)
        : unitScore;
    case 'roller-speed':
      if (reference || has('line') || !surfaceUnit) return 0;
      return (has('speed') ? 2 : 0) + unitScore + actual + (has('surface') ? 1 : 0);
    case 'line-speed':
      return has('line') && has('speed') ? 2 + unitScore + actual - (reference ? 1.5 : 0) : 0;
    case 'motor-position':
      return reference ? 0 : has('position') ? 2 + unitScore + actual : unitScore;
    case 'motor-torque': {
      if (reference) return 0;
      if (has('torque')) return 3 + unitScore + actual;
      if (own?.quantity === 'current') return (has('current') ? 1.5 : 0.9) + actual * 0.5;
      return own?.quantity === 'torque' ? 1 : 0;
    }
    case 'web-tension':
      return reference ? 0 : has('tension') ? 2 + unitScore + actual : own !== undefined ? 1 : 0;
    case 'roll-diameter':
      return reference ? 0 : has('diameter') ? 2 + unitScore + actual : 0;
  }
}

function isBinary(values: Float64Array): boolean {
  for (const v of values) if (!Number.isNaN(v) && v !== 0 && v !== 1) return false;
  return true;
}

export interface Proposal {
  readonly role: Role;
  readonly column: RawColumn;
}

/** Two columns that fit a role equally well: the role is left open rather than drawn by lot. */
export interface Ambiguity {
  readonly role: Role;
  readonly headers: readonly string[];
}

/**
 * Proposes what the columns are, best fit first, one role a column and one column a role. Roles in `stated` are settled by
 * the user and are not proposed again.
 */
export function proposeRoles(
  columns: readonly RawColumn[],
  order: readonly Role[],
  stated: ReadonlySet<RawColumn>,
): { proposals: Proposal[]; ambiguities: Ambiguity[] } {
  const candidates = columns
    .filter((c) => !stated.has(c))
    .flatMap((column) => order.map((role) => ({ role, column, score: fitness(column, role) })))
    .filter((c) => c.score >= 1)
    .sort((a, b) => b.score - a.score);
  const proposals: Proposal[] = [];
  const ambiguities: Ambiguity[] = [];
  const takenColumns = new Set<RawColumn>();
  const settled = new Set<Role>();
  for (const { role, column, score } of candidates) {
    if (settled.has(role) || takenColumns.has(column)) continue;
    const rivals = candidates.filter(
      (c) => c.role === role && c.score === score && !takenColumns.has(c.column),
    );
    settled.add(role);
    // Of several time columns the first serves: exports often carry the same time twice.
    if (rivals.length > 1 && role !== 'time') {
      ambiguities.push({ role, headers: rivals.map((r) => r.column.header) });
      continue;
    }
    takenColumns.add(column);
    proposals.push({ role, column });
  }
  return { proposals, ambiguities };
}
