import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { TautlineError } from '../../engine/errors.js';
import type { Context } from '../context.js';
import type { JobDocument } from '../jobs/jobs.js';
import { JobAnswer } from '../schemas/answers.js';
import { errors, Hash, strict } from '../schemas/common.js';

const Params = Type.Object({ id: Hash }, strict);
const response = { 200: JobAnswer, ...errors };

export const JobStarted = Type.Object({ job: Hash });

/** Long work: how far it is, what came of it, and its end. */
export const jobRoutes =
  ({ jobs }: Context): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get('/api/jobs/:id', { schema: { summary: 'a job', params: Params, response } }, async (request) =>
      orMissing(jobs.get(request.params.id), request.params.id),
    );
    app.delete(
      '/api/jobs/:id',
      { schema: { summary: 'cancels a job', params: Params, response } },
      async (request) => orMissing(jobs.cancel(request.params.id), request.params.id),
    );
  };

function orMissing(job: JobDocument | undefined, id: string): JobDocument {
  if (job !== undefined) return job;
  throw new TautlineError(
    'not_found',
    { job: id },
    'there is no such job, or it was forgotten',
    'start it again: the same inputs give the same job',
  );
}
