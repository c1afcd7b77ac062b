import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import type { Context } from '../context.js';
import { errors, strict, Units } from '../schemas/common.js';
import { reportPolicy } from '../security/contentPolicy.js';
import { today } from './folder.js';

/** The commissioning report of the folder, made from the results that are kept in it. */
export const reportRoutes =
  ({ folder, pool }: Context): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/api/report',
      {
        schema: {
          summary: 'the commissioning report as HTML',
          querystring: Type.Object({ units: Units }, strict),
          response: { 200: Type.String(), ...errors },
        },
      },
      async (request, reply) => {
        const units = request.query.units ?? 'si';
        const html = await pool.run('report', { folder, date: today(), units });
        return reply
          .type('text/html; charset=utf-8')
          .header('content-security-policy', reportPolicy)
          .header('x-frame-options', 'SAMEORIGIN')
          .send(html);
      },
    );
  };
