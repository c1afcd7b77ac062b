import { stemOf } from '../addresses.js';
import { readTakes, type Takes } from './takes.js';

/** What the view shows, as its address states it. */
export interface IdentifyAddress {
  /** Name of a drive file without ending. */
  readonly drive: string | undefined;
  /** Name or path of a recording. */
  readonly recording: string | undefined;
  /** Name of a kept result to look at. */
  readonly identification: string | undefined;
  readonly takes: Takes;
  /** How late the torque is against the speed [s]; undefined: as the recording shows it. */
  readonly delay: number | undefined;
  readonly flipTorque: boolean;
  /** Name of the kept result that is laid over this one. */
  readonly against: string | undefined;
}

export function readAddress(search: URLSearchParams): IdentifyAddress {
  const text = (key: string): string | undefined => {
    const value = search.get(key);
    return value === null || value === '' ? undefined : value;
  };
  const delay = Number(text('delay') ?? Number.NaN);
  const identification = text('identification');
  return {
    drive: text('drive'),
    recording: text('recording'),
    identification: identification && stemOf(identification).replace(/\.json$/i, ''),
    takes: readTakes(search),
    delay: Math.abs(delay) <= 10 ? delay : undefined,
    flipTorque: search.get('torque') === 'turned',
    against: text('against'),
  };
}

/** The address with some of its parameters changed; undefined and '' take one out. */
export function withChanges(
  before: URLSearchParams,
  changes: Readonly<Record<string, string | undefined>>,
): URLSearchParams {
  const next = new URLSearchParams(before);
  for (const [key, value] of Object.entries(changes))
    if (value === undefined || value === '') next.delete(key);
    else next.set(key, value);
  return next;
}

interface Listed {
  readonly name: string;
  readonly file: string;
  readonly drive?: string;
  readonly visit?: string;
  readonly sha256?: string;
}

/** The recording that a name or a path from the line folder means. */
export const recordingOf = <R extends Listed>(listed: readonly R[], stated: string): R | undefined =>
  listed.find((r) => r.file === stated) ?? listed.find((r) => r.name === stated);

/** The recording that a result was made from: the same bytes, else the same file. */
export const recordingBehind = <R extends Listed>(
  listed: readonly R[],
  inputs: { readonly file: string; readonly sha256: string },
): R | undefined => {
  const last = (path: string): string => path.replace(/^.*[\\/]/, '');
  return (
    listed.find((r) => r.sha256 !== undefined && r.sha256 === inputs.sha256) ??
    listed.find((r) => last(r.file) === last(inputs.file))
  );
};

/** Recordings that may be of a drive: its own first, then those that state no drive. */
export const recordingsFor = <R extends Listed>(listed: readonly R[], drive: string): R[] => [
  ...listed.filter((r) => r.drive === drive),
  ...listed.filter((r) => r.drive === undefined),
];

/** The visit under which a result is kept unless another is stated: that of the recording's name, else the day. */
export const usualVisit = (recording: Listed, drive: string, today: string): string =>
  recording.drive === drive && recording.visit !== undefined ? recording.visit : today;

/** What may be the name of a visit. */
export const isVisit = (text: string): boolean => /^[A-Za-z0-9][A-Za-z0-9_-]{0,39}$/.test(text);
