/**
 * The words that stand in exported tables besides numbers. They decide what is a row of values and what is a title, a footer
 * or a header; no value is ever made from a word except true/false, on/off, yes/no.
 */

const qualityWords = new Set(
  `bad|no good|good|questionable|uncertain|invalid|stale|old|i/o timeout|timeout|no data|nodata|no value|comm fail|comm error
|communication error|not connected|disconnected|offline|error|fault|overflow|underflow|over range|under range|overrange|underrange
|null|nil|none|nan|na|n/a|n.a.|#n/a|#n/v|#nv|#value!|#wert!|#div/0!|#ref!|#num!|#null!|<null>|(null)|\\n|inf|+inf|-inf|infinity|+infinity
|-infinity|1.#inf|-1.#inf|1.#qnan|-1.#ind|-nan|nan(ind)|-nan(ind)|missing|void|undefined|schlecht|ungültig|fehler`
    .replaceAll('\n', '')
    .split('|'),
);

/** Words and signs that stand for "no good value here": quality words, NaN and infinity, `---`, `***`, `?`. */
export function isQualityWord(text: string): boolean {
  const t = text.trim().toLowerCase();
  return qualityWords.has(t) || /^[-–—*?#._]+$/.test(t);
}

/** 1 or 0 for true/false, on/off, yes/no; undefined for any other text. */
export function parseBoolean(text: string): 0 | 1 | undefined {
  switch (text.trim().toLowerCase()) {
    case 'true':
    case 'on':
    case 'yes':
      return 1;
    case 'false':
    case 'off':
    case 'no':
      return 0;
    default:
      return undefined;
  }
}

const summaryLabel =
  /^(total|sum|summe|average|mean|avg|mittelwert|min|max|minimum|maximum|std|stdev|std\.? dev\.?|rms|count|anzahl|end|ende|eof)\b[\s:.]*/i;

/** A word in the first column that says the row sums up the others or ends the file: `Total`, `Average`, `End of file`. */
export const isSummaryLabel = (text: string): boolean => summaryLabel.test(text.trim());

/** A comment line: `# ...` or `// ...`, but not a spreadsheet's `#N/A`. */
export const isComment = (text: string): boolean => /^(#|\/\/)/.test(text.trim()) && !isQualityWord(text);

const typeWord =
  /^(bool|boolean|s?int(8|16|32|64)?|u[sd]?int(8|16|32|64)?|[dl]int|l?real|float(32|64)?|double|word|dword|string|date|time|datetime|timestamp|number|numeric)$/i;

/** The name of a data type, as some exports write in a row below the header. */
export const isTypeWord = (text: string): boolean => typeWord.test(text.trim());

// One unit symbol, no powers or products. Case counts except where no other unit is meant.
const symbols = new Set(
  `s sec ms us µs μs ns min h hr d rpm r rev U upm Upm 1 rad mrad deg ° grad inc count counts cnt m mm cm dm km µm μm um mil in inch ft foot yd
N mN kN daN MN kgf kp lbf lb lbs ozf oz kg g t Nm NM kNm mNm Ncm A mA Arms kA V mV kV W kW MW hp PS Hz kHz MHz bar mbar Pa kPa MPa GPa hPa psi
tr mn giri omw obr varv Umdr umdr turn turns
°C °F K C F % ‰ ppm pct percent pli PLI kli mpm fpm fps mps m² m2 mm² mm2 m³ m3 kgm2 kgm² l L J kJ VA kVA var Ohm Ω T dB sccm gsm samples sample
seconds second milliseconds minutes hours metres meters volt volts amps amp newton celsius bit hex bool`
    .split(/\s+/)
    .filter(Boolean),
);

/**
 * Does this text look like a unit: known symbols joined by `/ * · . - ^ per` and digits as powers, `% of ...`, or nothing but a dash?
 * It only decides where a unit stands in a header or in a row of its own; what the unit means is decided elsewhere.
 */
export function isUnitLike(text: string): boolean {
  const t = text.trim();
  if (/^[-–—]$/.test(t)) return true;
  if (/^(%|percent|pct)\s+\S/i.test(t)) return t.length <= 24;
  // a number before a blank is a value with its unit, not a unit
  if (t === '' || t.length > 16 || /^\d\S*\s/.test(t)) return false;
  const parts = t.replace(/\s+per\s+|_per_/g, '/').split(/[/*·⋅.×\s()_]+|(?<=[A-Za-z])-(?=[A-Za-z])/);
  const known = (p: string): boolean => symbols.has(p) || symbols.has(p.replace(/\^?[-⁻]?[0-9¹²³]$/, ''));
  const named = parts.filter((p) => p !== '');
  return named.length > 0 && named.every(known) && !/^\d+$/.test(t.replace(/^1$/, 'x'));
}

/** First cell of a unit row that only says that it is one: `Unit`, `Units:`, `Einheit`. */
export const isUnitLabel = (text: string): boolean => /^(unit|einheit)(s|en)?:?$/i.test(text.trim());
