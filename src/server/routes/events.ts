import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { TautlineError } from '../../engine/errors.js';
import type { Context } from '../context.js';
import { strict } from '../schemas/common.js';

/** What happens, as it happens. */
export const eventRoutes =
  ({ events }: Context): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/api/events',
      {
        schema: {
          summary: 'server-sent events: ready, change {path, version}, job {id, state, progress}',
          querystring: Type.Object({}, strict),
        },
      },
      (_, reply) => {
        reply.hijack();
        const stream = reply.raw;
        stream.writeHead(200, {
          'content-type': 'text/event-stream',
          'cache-control': 'no-store',
          'x-content-type-options': 'nosniff',
          connection: 'keep-alive',
        });
        if (events.add(stream)) return;
        const { code, message } = new TautlineError(
          'request_invalid',
          {},
          'too many windows listen at once',
          'close some',
        );
        stream.end(`event: refused\ndata: ${JSON.stringify({ code, message })}\n\n`);
      },
    );
  };
