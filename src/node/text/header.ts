import { isUnitLike } from './words.js';

/**
 * The unit written in a header, exactly as written, or undefined. Square brackets always hold a unit (unless only digits: an index).
 * Round brackets, `Speed / rpm`, `Speed in rpm` and `Speed, rpm` count only when the text looks like a unit, because headers also
 * say `Torque (filtered)`. Of a suffix after an underscore or a blank (`speed_rpm`, `inertia_kgm2`, `Time ms`) only symbols of two letters
 * or more are taken, and `_s` of a time: `M_N` is a rated torque, not newtons.
 */
export function unitOfHeader(header: string): string | undefined {
  const square = [...header.matchAll(/\[([^[\]]*)\]/g)]
    .map((m) => m[1]!.trim())
    .filter((u) => !/^\d*$/.test(u));
  if (square.length > 0) return square.at(-1);
  const round = [...header.matchAll(/\(((?:[^()]|\([^()]*\))*)\)/g)]
    .map((m) => m[1]!.trim())
    .filter(isUnitLike);
  if (round.length > 0) return round.at(-1);
  const after = /^.*\S(?:\s+\/\s+|\s+in\s+|,\s*)(\S+)$/.exec(header)?.[1];
  if (after !== undefined && isUnitLike(after)) return after;
  if (/^(t|time|zeit|timestamp|elapsed|elapsed_time)_s$/i.test(header)) return 's';
  const suffix =
    /^.*?[\p{L}0-9)][_ ]((?:rad|m|ft|mm|in|deg|N|lbf)_per_(?:s|min|m|s2|in)|[A-Za-z]{2,}\d?|[A-Za-z]{1,3}\/[A-Za-z]{1,3}\d?|N[·.]m|(?:lbf?|oz|ft|in)[-·.](?:lbf?s?|ft|in))$/u.exec(
      header,
    )?.[1];
  if (
    suffix !== undefined &&
    !/^(in|min|rev|count|bit|hex|bool|inc|samples?)$/i.test(suffix) &&
    isUnitLike(suffix)
  ) {
    return suffix.replace('_per_', '/');
  }
  return undefined;
}

/**
 * Headers made unique: the first keeps its text, a repetition gets ` (2)`, ` (3)` ... A blank one becomes `column N`.
 * @returns the headers and the texts that stood more than once.
 */
export function uniqueHeaders(raw: readonly string[]): { headers: string[]; repeated: string[] } {
  const named = raw.map((h, i) => (h.trim() === '' ? `column ${i + 1}` : h.trim()));
  const taken = new Set(named);
  const seen = new Set<string>();
  const repeated = new Set<string>();
  const headers = named.map((h) => {
    if (!seen.has(h)) {
      seen.add(h);
      return h;
    }
    repeated.add(h);
    let n = 2;
    while (taken.has(`${h} (${n})`)) n++;
    taken.add(`${h} (${n})`);
    return `${h} (${n})`;
  });
  return { headers, repeated: [...repeated] };
}
