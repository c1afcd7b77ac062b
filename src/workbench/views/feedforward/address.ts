import { lastPart } from '../../../engine/project/visit.js';

/** All that the address of the view says. */
export interface FeedForwardAddress {
  readonly drive?: string;
  /** Name of the result, without folder and ending. */
  readonly identification?: string;
  /** Largest straight-line error, as a share of the largest drag at either end [1]. */
  readonly tolerance: number;
  /** Of the web [m/s²]. */
  readonly acceleration?: number;
  readonly isPercent: boolean;
  /** Name of the recording that is played; the one of the result where none is stated. */
  readonly recording?: string;
  readonly removeOffset: boolean;
  readonly flipTorque: boolean;
  /** Part of the recording that is drawn [s]. */
  readonly from?: number;
  readonly to?: number;
}

export const usualTolerance = 0.01;
const toleranceRange = [0.001, 0.2] as const;

/** Name by which the server knows a recording or a result, from its name or its path. */
export const nameOf = (path: string): string =>
  lastPart(path).replace(/\.(json|parquet|csv|txt|tsv|log)$/i, '');

const number = (text: string | null): number | undefined => {
  const value = text === null || text.trim() === '' ? Number.NaN : Number(text);
  return Number.isFinite(value) ? value : undefined;
};

export function readAddress(search: URLSearchParams): FeedForwardAddress {
  const text = (key: string): string | undefined => search.get(key) || undefined;
  const tolerance = number(search.get('tolerance'));
  const acceleration = number(search.get('acceleration'));
  const identification = text('identification');
  const recording = text('recording');
  const [from, to] = [number(search.get('from')), number(search.get('to'))];
  const drive = text('drive');
  return {
    ...(drive !== undefined && { drive }),
    ...(identification !== undefined && { identification: nameOf(identification) }),
    tolerance:
      tolerance === undefined
        ? usualTolerance
        : Math.min(Math.max(tolerance, toleranceRange[0]), toleranceRange[1]),
    ...(acceleration !== undefined && acceleration > 0 && { acceleration }),
    isPercent: search.get('unit') === 'percent',
    ...(recording !== undefined && { recording: nameOf(recording) }),
    removeOffset: search.get('offset') === 'off',
    flipTorque: search.get('torque') === 'turned',
    // a part that is none is the whole
    ...(from !== undefined && to !== undefined && from < to && { from, to }),
  };
}

/** The address with some of it changed; undefined takes a key out. */
export function withChanges(
  before: URLSearchParams,
  changes: Readonly<Record<string, string | undefined>>,
): URLSearchParams {
  const next = new URLSearchParams(before);
  for (const [key, value] of Object.entries(changes))
    if (value === undefined) next.delete(key);
    else next.set(key, value);
  return next;
}

// The slider moves in equal ratios: from 0.1 to 0.2 % is as much of a change as from 5 to 10 %.
export const toleranceSteps = 60;

export const toleranceAt = (step: number): number =>
  Number(
    (toleranceRange[0] * (toleranceRange[1] / toleranceRange[0]) ** (step / toleranceSteps)).toPrecision(3),
  );

export const stepOf = (tolerance: number): number =>
  Math.round(
    (toleranceSteps * Math.log(tolerance / toleranceRange[0])) /
      Math.log(toleranceRange[1] / toleranceRange[0]),
  );
