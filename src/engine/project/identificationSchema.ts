import { driveSchema } from './drive.js';
import { estimateKeys } from './identification.js';
import type { JsonSchema } from './jsonSchema.js';

const text: JsonSchema = { type: 'string' };
const number: JsonSchema = { type: 'number' };
const notNegative: JsonSchema = { type: 'number', minimum: 0 };
const pair: JsonSchema = { type: 'array', items: number, minItems: 2, maxItems: 2 };
const listOf = (items: JsonSchema): JsonSchema => ({ type: 'array', items });

/** Unknown keys are allowed throughout: a later program may state more in the same version of the document. */
const record = (properties: Record<string, JsonSchema>): JsonSchema => ({
  type: 'object',
  required: Object.keys(properties),
  properties,
});

/** A record with keys that may be absent besides. */
const optionally = (
  optional: Record<string, JsonSchema>,
  properties: Record<string, JsonSchema>,
): JsonSchema => ({ ...record(properties), properties: { ...properties, ...optional } });

const estimate: JsonSchema = record({ value: number, standardError: notNegative, interval95: pair });

const estimates: JsonSchema = {
  type: 'object',
  properties: Object.fromEntries(Object.values(estimateKeys).map((key) => [key, estimate])),
};

const place: JsonSchema = { type: 'integer', minimum: 0 };

const curve: JsonSchema = listOf(
  optionally(
    { segment: place },
    {
      speed_rad_per_s: notNegative,
      torque_Nm: number,
      halfWidth95_Nm: notNegative,
      from: { enum: ['plateau', 'coast', 'fit'] },
    },
  ),
);

const finding: JsonSchema = record({
  code: text,
  severity: { enum: ['refuse', 'warn', 'info'] },
  message: text,
  where: { type: 'object' },
  next: text,
});

/** What a reader requires of a `tautline/identification@1`. */
export const identificationSchema: JsonSchema = {
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'Tautline identification, version 1',
  type: 'object',
  // What design and contract name as always there; a reader fills the rest with what it means to be absent.
  required: ['schema', 'estimates'],
  properties: {
    schema: { const: 'tautline/identification@1', description: 'version of this document' },
    name: text,
    verdict: { enum: ['identified', 'warned', 'refused'] },
    findings: listOf(finding),
    channels: listOf(record({ role: text, header: text, unit: text, delay_s: number })),
    segments: listOf(
      optionally(
        { used: { type: 'boolean' } },
        {
          kind: { enum: ['plateau', 'ramp', 'coast', 'breakaway', 'rest', 'excluded'] },
          from_s: number,
          to_s: number,
          why: text,
        },
      ),
    ),
    direction: { enum: ['forward', 'reverse'] },
    estimates,
    stribeckExponent: { enum: [1, 2] },
    notEstimated: listOf(record({ name: { enum: Object.values(estimateKeys) }, why: text, next: text })),
    reverse: record({ estimates }),
    symmetric: record({ estimates }),
    covariance: record({
      names: listOf({ enum: Object.values(estimateKeys) }),
      matrix: listOf(listOf(number)),
    }),
    dragCurve: curve,
    dragCurveReverse: curve,
    apparentDragCurve: curve,
    rampPairs: listOf(
      record({ up: place, down: place, direction: { enum: [1, -1] }, inertia_kgm2: estimate }),
    ),
    dragOverInertia: listOf(record({ speed_rad_per_s: number, deceleration_rad_per_s2: number })),
    inertiaOverDiameter: listOf(record({ diameter_m: number, inertia_kgm2: number })),
    rollDensity_kgm3: estimate,
    breakawayEvents: listOf(
      record({
        time_s: number,
        torque_Nm: number,
        direction: { enum: [1, -1] },
        dwell_s: number,
        rate_Nm_per_s: number,
      }),
    ),
    speedRange_rad_per_s: pair,
    residual: record({ rms_Nm: notNegative, autocorrelationTime_s: notNegative }),
    drive: driveSchema,
    inputs: optionally({ choices_sha256: text }, { file: text, sha256: text, rows: notNegative }),
  },
};
