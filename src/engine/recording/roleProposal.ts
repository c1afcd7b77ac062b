import { parseUnit } from '../units/parse.js';
import { type QuantityKey, quantityKeys } from '../units/quantity.js';
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
    /\b(spd|vel|velocity|rpm|vitesse|velocidad|snelheid|toerental|velocita|n|omega|nact|nist)\b|speed|drehzahl|geschwindigkeit/,
  torque: /\b(trq|tq|couple|koppel|par|coppia|md|m|mact|mist)\b|torque|moment/,
  current: /\b(current|courant|corriente|stroom|corrente|iq|amps?|i)\b|strom\b/,
  position: /\b(position|pos|angle|lage|encoder|theta|phi|posicion|hoek|angolo|rotation)\b|winkel|lageist/,
  tension:
    /\b(zug|bahnspannung|load cell|loadcell|tiro|tirage|trekkracht|spanning)\b|tension|zugkraft|bahnzug/,
  diameter: /\b(diam|dia|diametre|diametro|d roll|roll d|od)\b|diameter|durchmesser/,
  enabled: /\b(enabled?|run|running|on|ready|freigabe|active|aktiv|ein|marche|marcha|marcia)\b|freigabe/,
  reference:
    /\b(ref|reference|set|sp|soll|cmd|command|target|demand|consigne|consigna|riferimento|setp|nset|vset|mset|nsoll|vsoll|msoll|gewenst)\b|setpoint|sollwert/,
  actual: /\b(act|actual|ist|fbk|feedback|measured|mess|mesure|pv|reel|reelle|real|reale|value)\b|istwert/,
  line: /\b(line|bahn|web|master|linie|ligne|linea)\b|bahngeschw/,
  surface: /\b(surface|roller|roll|walze|rouleau|rullo|circumferential|peripheral)\b|umfang/,
  motor: /\b(motor|mot|moteur|motore|shaft|drive|antrieb)\b/,
  // a set value may stand for the reference; what only limits or compares is no channel at all
  derived:
    /\b(limit|limits|lim|max|maximum|min|minimum|error|err|deviation|diff|difference|delta|abweichung|fehler|grenze|rate|additive|offset|margin)\b|grenzwert/,
} as const;

/** Units of quantities that no channel has: they rule a column out, unlike a unit that is not known at all. */
const foreignUnit =
  /^(°\s?[CF]|[CFK]|m?V|kV|V\s?(AC|DC|rms)?|k?VA|M?Ohm|Ω|l\/min|m3\/h|g\/m2|g\/m²|gsm|mm\/s2?\s?rms|bit|hex|dB)$/i;

/** Header text for word matching: no unit brackets, no accents, separators as spaces, camel case split. */
const plain = (column: RawColumn): string => plainText(column.header.replace(/[[(][^\])]*[\])]/g, ' '));

function plainText(text: string): string {
  return text
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .normalize('NFD')
    .replace(/[\u0300-\u036f]/g, '')
    .toLowerCase()
    .replace(/[^a-z0-9°%]+/g, ' ')
    .trim();
}

const kinds = ['time', 'speed', 'torque', 'current', 'position', 'tension', 'diameter'] as const;

const isForeign = (unit: string | undefined): boolean =>
  unit !== undefined &&
  (foreignUnit.test(unit.trim()) || quantityKeys.some((key) => parseUnit(unit, [key]) !== undefined));

/** What else is known when roles are proposed. */
export interface Hints {
  /** In an export of several drives the columns that carry the name of this drive go before the others. */
  readonly driveName?: string;
  /** Units that the user states; a column of another quantity does not fit then. */
  readonly units?: Partial<Record<Role, string>>;
}

/**
 * How well a column fits a role: 0 not at all. Words count 2, "actual" against "reference" 1, a fitting unit 1; a unit of
 * another quantity rules a role out, whatever the words say.
 */
function fitness(file: RawColumn, role: Role, { driveName, units }: Hints): number {
  const column = units?.[role] === undefined ? file : { ...file, unit: units[role] };
  const full = ` ${plain(column)} `;
  const name = driveName === undefined ? '' : ` ${plainText(driveName)} `;
  const ofDrive = name.length > 2 && full.includes(name);
  // "pull roll 2 speed" of the drive "pull roll 2" is just "speed": the name says nothing about which side is meant
  const text = ofDrive ? full.replace(name, ' ') : full;
  const has = (kind: keyof typeof words): boolean => words[kind].test(text);
  const score = wordScore(column, role, has);
  return score >= 1 && ofDrive ? score + 0.25 : score;
}

function wordScore(column: RawColumn, role: Role, has: (kind: keyof typeof words) => boolean): number {
  const allowed = roleQuantities[role];
  const own = column.unit === undefined ? undefined : parseUnit(column.unit, allowed);
  if (column.kind === 'text') return 0;
  // a unit alone says nothing against words: a "tension" in m/min is not a speed
  const named = kinds.some((kind) => has(kind));
  if (role === 'time') {
    if (column.kind === 'datetime' || column.kind === 'clock') return 4;
    if (column.kind !== 'number') return 0;
    return own !== undefined
      ? has('time')
        ? 3
        : named
          ? 0
          : 1.5
      : has('time') && column.unit === undefined
        ? 2
        : 0;
  }
  if (role === 'drive-enabled') return has('enabled') && isBinary(column.values) ? 3 : 0;
  if (column.kind !== 'number') return 0;
  if (has('derived') || (own === undefined && isForeign(column.unit))) return 0;
  const unitScore = own === undefined ? 0 : 1;
  const reference = has('reference') && !has('actual');
  const actual = has('actual') ? 1 : 0;
  const surfaceUnit = own?.quantity === 'speed';
  switch (role) {
    case 'speed-reference':
      return has('speed') && reference ? 3 + unitScore : 0;
    case 'motor-speed':
      if (reference || has('line') || surfaceUnit) return 0;
      // "roller speed" in rpm may be the motor's or, gearbox between, the roller's: left to the user
      if (has('surface') && !has('motor')) return 0;
      return has('speed') ? 2 + unitScore + actual + (has('motor') ? 1 : 0) : named ? 0 : unitScore;
    case 'roller-speed':
      if (reference || has('line') || !surfaceUnit) return 0;
      return has('speed') ? 2 + unitScore + actual + (has('surface') ? 1 : 0) : named ? 0 : unitScore;
    case 'line-speed':
      return has('line') && has('speed') ? 2 + unitScore + actual - (reference ? 1.5 : 0) : 0;
    case 'motor-position':
      return reference ? 0 : has('position') ? 2 + unitScore + actual : named ? 0 : unitScore;
    case 'motor-torque': {
      if (reference) return 0;
      if (has('torque')) return 3 + unitScore + actual;
      if (own?.quantity === 'current') return (has('current') ? 1.5 : 0.9) + actual * 0.5;
      return own?.quantity === 'torque' && !named ? 1 : 0;
    }
    case 'web-tension':
      return reference ? 0 : has('tension') ? 2 + unitScore + actual : named ? 0 : unitScore;
    case 'roll-diameter':
      return reference ? 0 : has('diameter') ? 2 + unitScore + actual : 0;
  }
}

/** Would the column fit the role by its words, were its unit not one of another quantity? */
export function hasUnfitUnit(column: RawColumn, role: Role): boolean {
  if (column.unit === undefined || parseUnit(column.unit, roleQuantities[role]) !== undefined) return false;
  return fitness(column, role, {}) === 0 && fitness({ ...column, unit: undefined }, role, {}) >= 2;
}

/** A measured "roller speed" in turns: with a gearbox between it may be the motor's or the roller's. */
export function isSideUnclear(column: RawColumn): boolean {
  const text = plain(column);
  const has = (kind: keyof typeof words): boolean => words[kind].test(text);
  return (
    column.kind === 'number' &&
    column.unit !== undefined &&
    parseUnit(column.unit, ['angularSpeed']) !== undefined &&
    has('speed') &&
    has('surface') &&
    !has('motor') &&
    !has('derived') &&
    (!has('reference') || has('actual'))
  );
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

interface Candidate extends Proposal {
  readonly score: number;
}

const rivalsOf = (candidates: readonly Candidate[], role: Role, least: number): RawColumn[] =>
  candidates.filter((c) => c.role === role && c.score >= least).map((c) => c.column);

/** Share of rows that repeat the value before; 1 when values run backwards, because no time does. */
function repeatShare(values: Float64Array): number {
  let repeats = 0;
  for (let i = 1; i < values.length; i++) {
    if (values[i] < values[i - 1]) return 1;
    if (values[i] === values[i - 1]) repeats++;
  }
  return repeats / Math.max(1, values.length);
}

/** The time column that was found first, or a finer one beside it when many rows share a stamp (a date-time to the second beside milliseconds). */
function finestTime(first: RawColumn, all: readonly RawColumn[]): RawColumn {
  let best = first;
  let share = repeatShare(first.values);
  if (share < 0.2) return first;
  for (const column of all) {
    const own = repeatShare(column.values);
    if (own < 0.5 * share) {
      best = column;
      share = own;
    }
  }
  return best;
}

/**
 * Proposes what the columns are, best fit first, one role a column and one column a role. Roles in `stated` are settled by
 * the user and are not proposed again.
 */
export function proposeRoles(
  columns: readonly RawColumn[],
  order: readonly Role[],
  stated: ReadonlySet<RawColumn>,
  hints: Hints = {},
): { proposals: Proposal[]; ambiguities: Ambiguity[] } {
  const candidates = columns
    .filter((c) => !stated.has(c))
    .flatMap((column) => order.map((role) => ({ role, column, score: fitness(column, role, hints) })))
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
    // Exports often carry the same time twice: of several time columns the first serves, unless it is coarse.
    if (rivals.length > 1 && role !== 'time') {
      ambiguities.push({ role, headers: rivals.map((r) => r.column.header) });
      continue;
    }
    const taken = role === 'time' ? finestTime(column, rivalsOf(candidates, 'time', 3)) : column;
    takenColumns.add(taken);
    proposals.push({ role, column: taken });
  }
  return { proposals, ambiguities };
}
