import type { SegmentKind } from '../../../engine/identify/identification.js';
import type { IdentificationDocument } from '../../../engine/project/identification.js';

/** From and to [s] on the recording's own time axis. */
export type Range = readonly [number, number];

/** Stretches that a person took out of the fit, and in although the program left them out. */
export interface Takes {
  readonly out: readonly Range[];
  readonly in: readonly Range[];
}
export const noTakes: Takes = { out: [], in: [] };

export interface TakenSegment {
  readonly kind: SegmentKind;
  readonly from: number;
  readonly to: number;
  readonly used: boolean;
}

const overlaps = ([from, to]: Range, segment: Range): boolean => from < segment[1] && to > segment[0];
const without = (ranges: readonly Range[], segment: Range): readonly Range[] =>
  ranges.filter((r) => !overlaps(r, segment));

/** Microseconds: the ends of a stretch are samples, which a rounded text must not lose. */
const outwards = ([from, to]: Range): Range => [Math.floor(from * 1e6) / 1e6, Math.ceil(to * 1e6) / 1e6];

/** A stretch taken out, or given back where it had been taken in. */
const takeOut = (takes: Takes, segment: Range): Takes => {
  const kept = without(takes.in, segment);
  return kept.length < takes.in.length
    ? { ...takes, in: kept }
    : { ...takes, out: [...takes.out, outwards(segment)] };
};

/** A stretch taken in, or given back where it had been taken out; one that could not be used although taken in is left out again. */
const takeIn = (takes: Takes, segment: Range): Takes => {
  const out = without(takes.out, segment);
  if (out.length < takes.out.length) return { ...takes, out };
  const kept = without(takes.in, segment);
  return { ...takes, in: kept.length < takes.in.length ? kept : [...takes.in, outwards(segment)] };
};

/** A click on a stretch: out when the fit used it, in when it did not. */
export const toggled = (takes: Takes, { from, to, used }: TakenSegment): Takes =>
  used ? takeOut(takes, [from, to]) : takeIn(takes, [from, to]);

/** A range that was marked, whatever lies in it. */
export const marked = (takes: Takes, range: Range, way: 'out' | 'in'): Takes => ({
  out: way === 'out' ? [...takes.out, outwards(range)] : without(takes.out, range),
  in: way === 'in' ? [...takes.in, outwards(range)] : takes.in,
});

/** The takes that a result was made with, as its stretches tell them. */
export function takesOf({ segments }: Pick<IdentificationDocument, 'segments'>): Takes {
  const of = (says: RegExp): Range[] =>
    segments.filter((s) => says.test(s.why)).map((s) => outwards([s.from_s, s.to_s]));
  return { out: of(/^taken out by the user/), in: of(/^taken in by the user/) };
}

const rangesText = (ranges: readonly Range[]): string =>
  ranges.map(([from, to]) => `${from}~${to}`).join(',');

function readRanges(text: string | null): Range[] {
  return (text ?? '').split(',').flatMap((part): Range[] => {
    const ends = part.split('~').map((end) => (end.trim() === '' ? Number.NaN : Number(end)));
    const [from, to] = ends as [number, number];
    return ends.length === 2 && from < to && Number.isFinite(from) && Number.isFinite(to) ? [[from, to]] : [];
  });
}

/** Takes as they stand in an address, empty when there are none. */
export const takesText = (takes: Takes): { readonly out: string; readonly in: string } => ({
  out: rangesText(takes.out),
  in: rangesText(takes.in),
});

/** The takes of an address; what is no range of time is passed over. */
export const readTakes = (search: URLSearchParams): Takes => ({
  out: readRanges(search.get('out')),
  in: readRanges(search.get('in')),
});
