/** As found comes before anything else, as left next; later visits carry a date and sort by it. */
const visitOrder = ['as-found', 'as-left'];
const rank = (visit: string): string => {
  const k = visitOrder.indexOf(visit);
  return k < 0 ? `9${visit}` : String(k);
};

/** Order of two visits in time, as their names state it. Not a relation [1]. Source: definition. */
export const compareVisits = (a: string, b: string): number =>
  rank(a) < rank(b) ? -1 : rank(a) > rank(b) ? 1 : 0;

/** The day that a visit's name states, ISO 8601; undefined for as-found, as-left and any other word. */
export function visitDate(visit: string): string | undefined {
  const match = /^(\d{4})-(\d{2})-(\d{2})$/.exec(visit);
  if (match === null) return undefined;
  const day = new Date(Date.UTC(Number(match[1]), Number(match[2]) - 1, Number(match[3])));
  // a 31st of February runs over into March and is no day
  return day.toISOString().startsWith(visit) ? visit : undefined;
}

/** Last part of a path that is written with slashes of either kind. */
export const lastPart = (path: string): string =>
  path.slice(1 + Math.max(path.lastIndexOf('/'), path.lastIndexOf('\\')));

/** What a drive is called in the names of its recordings and results: its file without folder and ending. */
export const driveBase = (driveFile: string): string => lastPart(driveFile).replace(/\.ya?ml$/i, '');

/** Drive and visit of a recording by its name, DRIVE.VISIT.EXT; undefined when the name states none. */
export function recordingName(file: string): { drive: string; visit: string } | undefined {
  const match = /^(.*)\.([^.]+)\.(parquet|csv|txt|tsv|log)$/i.exec(lastPart(file));
  return match === null ? undefined : { drive: match[1], visit: match[2] };
}

/** Drive, visit and number of a result by its name, DRIVE.VISIT.json or DRIVE.VISIT-k.json; undefined for any other name. */
export function identificationName(
  file: string,
): { drive: string; visit: string; count: number } | undefined {
  // A visit that is a date has hyphens of its own; the number behind it counts the results of one visit.
  const match = /^(.*)\.((?:\d{4}-\d{2}-\d{2})|[^.]+?)(?:-(\d+))?\.json$/.exec(lastPart(file));
  return match === null ? undefined : { drive: match[1], visit: match[2], count: Number(match[3] ?? 1) };
}
