import { TautlineError } from '../errors.js';
import type { JsonSchema } from './jsonSchema.js';

/** What a person noted of a stretch of a recording: on its time axis, or by row where the recording has no time. */
export interface AnnotatedStretch {
  readonly from_s?: number;
  readonly to_s?: number;
  readonly from_row?: number;
  readonly to_row?: number;
  readonly text: string;
  /** Day on which it was noted, ISO 8601. */
  readonly noted?: string;
}

/** Notes beside a recording, RECORDING.annotations.yaml. Nothing is computed from them. `tautline/annotations@1`. */
export interface AnnotationsDocument {
  readonly schema: 'tautline/annotations@1';
  readonly stretches: readonly AnnotatedStretch[];
}

export const annotationsSchema: JsonSchema = {
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'Tautline annotations of a recording, version 1',
  type: 'object',
  required: ['schema', 'stretches'],
  additionalProperties: false,
  properties: {
    schema: { const: 'tautline/annotations@1', description: 'version of this document' },
    stretches: {
      type: 'array',
      maxItems: 2000,
      items: {
        type: 'object',
        required: ['text'],
        additionalProperties: false,
        properties: {
          from_s: { type: 'number', description: 'start on the time axis of the recording' },
          to_s: { type: 'number', description: 'end on the time axis of the recording' },
          from_row: { type: 'number', description: 'start, of a recording without time' },
          to_row: { type: 'number', description: 'end, of a recording without time' },
          text: { type: 'string', minLength: 1, description: 'what was seen' },
          noted: { type: 'string', description: 'day on which it was noted' },
        },
      },
    },
  },
};

/** Where a note stands in the document beside its recording; the path of the recording is from the line folder. */
export const annotationsFile = (recording: string): string => `${recording}.annotations.yaml`;

/** Start and end of a stretch, and of which axis. */
export interface StretchBounds {
  readonly from: number;
  readonly to: number;
  readonly axis: 's' | 'row';
}

/**
 * The ends of a noted stretch [s, or rows]. Validity: both ends on one axis, the start before the end.
 * @throws TautlineError document_value, with `pointer` for its place. Source: definition.
 */
export function stretchBounds(stretch: AnnotatedStretch, index: number): StretchBounds {
  const { from_s, to_s, from_row, to_row } = stretch;
  const [from, to] = from_s !== undefined || to_s !== undefined ? [from_s, to_s] : [from_row, to_row];
  const hasBoth =
    (from_s !== undefined || to_s !== undefined) && (from_row !== undefined || to_row !== undefined);
  if (!hasBoth && from !== undefined && to !== undefined && from < to)
    return { from, to, axis: from_s === undefined ? 'row' : 's' };
  throw new TautlineError(
    'document_value',
    { pointer: `stretches.${index}`, from: from ?? 'not stated', to: to ?? 'not stated' },
    `note ${index + 1} (“${stretch.text}”) is no stretch of the recording`,
    'state from_s before to_s, or from_row before to_row where the recording has no time',
  );
}

/** The document as YAML text, in order of time; equal documents give equal texts. Not a relation [1]. Source: definition. */
export function annotationsText(stretches: readonly AnnotatedStretch[]): string {
  const start = (s: AnnotatedStretch): number => s.from_s ?? s.from_row ?? 0;
  const rows = [...stretches]
    .sort((a, b) => start(a) - start(b))
    .map((s) =>
      (['from_s', 'to_s', 'from_row', 'to_row', 'text', 'noted'] as const)
        .filter((key) => s[key] !== undefined)
        // every JSON text is YAML, so nothing that a person types can mean anything but itself
        .map((key, k) => `${k === 0 ? '  - ' : '    '}${key}: ${JSON.stringify(s[key])}\n`)
        .join(''),
    );
  return `schema: tautline/annotations@1\nstretches:${rows.length === 0 ? ' []' : ''}\n${rows.join('')}`;
}
