import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { TautlineError } from '../../engine/errors.js';
import type { Context } from '../context.js';
import { TraceAnswer } from '../schemas/answers.js';
import { errors, Name, strict } from '../schemas/common.js';
import { TraceQuery } from '../schemas/recordings.js';
import { readStretch } from '../traces/readTrace.js';
import type { TraceDocument } from '../traces/traceDocument.js';

const Params = Type.Object({ name: Name }, strict);
const usualBuckets = 1500;

/** Recordings for drawing. */
export const traceRoutes =
  ({ folder, recordings }: Context): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/api/recordings/:name',
      {
        schema: {
          summary: 'columns, roles, time axis and findings of a recording',
          params: Params,
          response: { 200: TraceAnswer, ...errors },
        },
      },
      async (request) => recordings.traceOf(await recordings.fileOf(request.params.name)),
    );

    app.get(
      '/api/recordings/:name/trace',
      {
        schema: {
          summary: 'least and greatest values of a column between two times, as doubles [start, min, max]',
          params: Params,
          querystring: TraceQuery,
          response: { 200: Type.Unsafe<unknown>({ type: 'string', format: 'binary' }), ...errors },
        },
      },
      async (request, reply) => {
        const file = await recordings.fileOf(request.params.name);
        const trace = await recordings.traceOf(file);
        const { channel, from = trace.time.from, to = trace.time.to, buckets = usualBuckets } = request.query;
        if (!(from <= to))
          throw new TautlineError(
            'request_invalid',
            { from, to },
            `${from} to ${to} is no stretch of time`,
            'state the earlier time first',
          );
        const k = columnOf(trace, channel);
        const column = trace.columns[k];
        const stretch = await readStretch(folder, trace, k, { from, to, buckets }).catch(async () => {
          // its files were deleted, or a newer trace took their place
          recordings.forget(trace);
          return readStretch(folder, await recordings.traceOf(file), k, { from, to, buckets });
        });
        const { buffer, byteOffset, byteLength } = stretch.buckets;
        return reply
          .type('application/octet-stream')
          .header('x-tautline-samples', stretch.samples)
          .header('x-tautline-unit', encodeURIComponent(column.unit ?? ''))
          .header('x-tautline-header', encodeURIComponent(column.header))
          .header('etag', `"${trace.key}"`)
          .send(Buffer.from(buffer, byteOffset, byteLength));
      },
    );
  };

/** A column by its role, else by its header. @throws TautlineError column_unknown */
function columnOf({ columns }: TraceDocument, channel: string): number {
  const byRole = columns.findIndex((c) => c.role === channel);
  const k = byRole >= 0 ? byRole : columns.findIndex((c) => c.header === channel);
  if (k >= 0) return k;
  const headers = columns.map((c) => c.header);
  throw new TautlineError(
    'column_unknown',
    { channel, headers },
    `the recording has no column or role "${channel}"`,
    `ask for one of ${headers.map((h) => `"${h}"`).join(', ')}, or for a role`,
  );
}
