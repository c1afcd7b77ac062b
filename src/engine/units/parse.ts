import { type QuantityKey, quantity, quantityKeys, type Unit } from './quantity.js';

export interface ParsedUnit {
  readonly quantity: QuantityKey;
  readonly unit: Unit;
}

/**
 * A unit text without what writers of units disagree on: superscripts become digits, and spaces, middle dots, dots, carets,
 * underscores, and hyphens that are no minus sign go. "N·m", "N.m", "N-m" and "N m" give "Nm"; "min⁻¹" gives "min-1". Case stays.
 */
export function squeeze(text: string): string {
  return text
    .replace(/º/g, '°')
    .normalize('NFKC')
    .replace(/′′|''/g, '"')
    .replace(/[−–‐‑]/g, '-')
    .replace(/[\s·⋅∙•*×^_]/g, '')
    .replace(/(?<!\d)\.|\.(?!\d)/g, '')
    .replace(/-(?!\d)/g, '')
    .replace(/\/sec(?:ond)?s?(?![a-z])/gi, '/s')
    .replace(/\/minutes?(?![a-z])/gi, '/min');
}

interface Spellings {
  /** Squeezed spellings whose case counts. */
  readonly exact: ReadonlyMap<string, Unit>;
  /** Squeezed spellings in lower case. */
  readonly loose: ReadonlyMap<string, Unit>;
}

function spellingsOf(key: QuantityKey): Spellings {
  const exact = new Map<string, Unit>();
  const loose = new Map<string, Unit>();
  for (const unit of quantity(key).units) {
    const own = [unit.id, unit.label].map(squeeze).filter((s) => s !== '');
    for (const alias of unit.aliases) loose.set(squeeze(alias).toLowerCase(), unit);
    for (const s of own) unit.exact === undefined ? loose.set(s.toLowerCase(), unit) : exact.set(s, unit);
    for (const s of unit.exact ?? []) exact.set(squeeze(s), unit);
  }
  return { exact, loose };
}

const spellings = new Map(quantityKeys.map((key) => [key, spellingsOf(key)]));

/**
 * The unit that a text means, e.g. "rpm", "U/min", "% of rated", "lb-ft". Only the quantities `among` are considered (all
 * when left out); a text that fits several of them, such as a bare "lb", gives undefined: a unit is never guessed.
 * Some texts are never understood, see {@link unitTrap}.
 */
export function parseUnit(
  text: string,
  among: readonly QuantityKey[] = quantityKeys,
): ParsedUnit | undefined {
  const wanted = squeeze(text);
  const found: ParsedUnit[] = [];
  for (const key of new Set(among)) {
    const known = spellings.get(key);
    const unit = known?.exact.get(wanted) ?? known?.loose.get(wanted.toLowerCase());
    if (unit !== undefined) found.push({ quantity: key, unit });
  }
  return found.length === 1 ? found[0] : undefined;
}

const traps: readonly (readonly [spelling: RegExp, why: string])[] = [
  [
    /^(counts?|cnts?|incr?|increments?|pulses?|impulse|digits?|bits?|raw|lsb|units?)(\/.*)?$/,
    'counts need a scale that the file does not state',
  ],
  [/^(gd2|wd2|kgfm2|kpm2).*$/, 'GD² is four times the inertia: divide it by 4 and state kg·m²'],
  [/^(1\/s|s-1|\/s)$/, '1/s can be rad/s or turns a second'],
  [/^hz$/, 'a motor frequency needs the number of pole pairs'],
  [
    /^(v|volts?|mv|vdc|4-20ma|0-20ma)$/,
    'a signal voltage or current needs a scale that the file does not state',
  ],
  [/^kg$/, 'kg is a mass; a force is stated in N or kgf'],
  [/^lb\/ream$/, 'the size of a ream differs by trade: state lb/3000ft2 or g/m2'],
  [/^(apk|apeak|as)$/, 'peak amperes: state the torque constant for the same basis and the unit as A'],
];

/**
 * Why a text that looks like a unit cannot be converted, for a message about it; undefined when nothing is known. To be asked
 * only after {@link parseUnit} found nothing: "Hz" is a fine frequency and no rotational speed.
 */
export function unitTrap(text: string): string | undefined {
  const wanted = squeeze(text).toLowerCase();
  return traps.find(([spelling]) => spelling.test(wanted))?.[1];
}

/** Labels of all units of some quantities, for messages that list what would be understood. */
export const unitLabels = (among: readonly QuantityKey[]): string[] => [
  ...new Set(among.flatMap((key) => quantity(key).units.map((u) => u.label)).filter((l) => l !== '')),
];
