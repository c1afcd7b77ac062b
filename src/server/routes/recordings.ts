import { createReadStream } from 'node:fs';
import { basename } from 'node:path';
import type { Readable } from 'node:stream';
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { isTautlineError, TautlineError } from '../../engine/errors.js';
import { confinePath } from '../../node/files/confinePath.js';
import type { Context } from '../context.js';
import { fileIn } from '../documents/editable.js';
import type { Proposal, Statements } from '../jobs/tasks.js';
import { ProposalAnswer, RecordingsAnswer } from '../schemas/answers.js';
import { errors, Hash, Name, strict } from '../schemas/common.js';
import { ImportBody, StatementsBody } from '../schemas/recordings.js';
import { today } from './folder.js';
import { JobStarted } from './jobs.js';

const UploadParams = Type.Object({ upload: Hash }, strict);

/** Recordings: those of the folder, and the way of a dropped file into it. */
export const recordingRoutes =
  ({ folder, recordings, uploads, pool, jobs }: Context): FastifyPluginAsyncTypebox =>
  async (app) => {
    // a dropped file is taken as it comes, whatever it calls itself; only its upload sees a body like this
    app.addContentTypeParser('application/octet-stream', (_, body, done) => done(null, body));

    const proposed = async (
      upload: string,
      statements: Statements,
    ): Promise<{ upload: string; proposal: Proposal }> => {
      const { file } = await uploads.find(upload);
      const path = `${folder}/${file}`;
      return { upload, proposal: await pool.run('propose', { file: path, statements }) };
    };

    const firstProposed = async (upload: string): Promise<Awaited<ReturnType<typeof proposed>>> => {
      try {
        return await proposed(upload, {});
      } catch (error) {
        // it lies here, and another reading of it may be stated
        if (!isTautlineError(error)) throw error;
        throw new TautlineError(error.code, { ...error.where, upload }, error.message, error.next);
      }
    };

    app.get(
      '/api/recordings',
      {
        schema: {
          summary: 'the recordings of the folder',
          querystring: Type.Object({}, strict),
          response: { 200: RecordingsAnswer, ...errors },
        },
      },
      () => recordings.list(),
    );

    app.post(
      '/api/recordings',
      {
        schema: {
          summary: 'takes a file in as it was dropped and says how it would be read',
          querystring: Type.Object({ name: Name }, strict),
          consumes: ['application/octet-stream'],
          response: { 201: ProposalAnswer, ...errors },
        },
      },
      async (request, reply) => {
        const length = Number(request.headers['content-length']);
        const { upload } = await uploads.take(
          request.query.name,
          bodyOf(request.body),
          Number.isFinite(length) ? length : undefined,
        );
        return reply.code(201).send(await firstProposed(upload));
      },
    );

    app.post(
      '/api/recordings/:name/upload',
      {
        schema: {
          summary: 'takes an export that lies in the folder as if it had been dropped; the export stays',
          params: Type.Object({ name: Name }, strict),
          querystring: Type.Object({}, strict),
          response: { 201: ProposalAnswer, ...errors },
        },
      },
      async (request, reply) => {
        const file = await confinePath(folder, await recordings.fileOf(request.params.name));
        const { upload } = await uploads.take(basename(file), createReadStream(file), undefined);
        return reply.code(201).send(await firstProposed(upload));
      },
    );

    app.get(
      '/api/recordings/:upload/proposal',
      {
        schema: {
          summary: 'how an upload would be read',
          params: UploadParams,
          response: { 200: ProposalAnswer, ...errors },
        },
      },
      (request) => proposed(request.params.upload, {}),
    );

    app.post(
      '/api/recordings/:upload/proposal',
      {
        schema: {
          summary: 'how an upload would be read with what is stated about it',
          params: UploadParams,
          body: StatementsBody,
          response: { 200: ProposalAnswer, ...errors },
        },
      },
      (request) => proposed(request.params.upload, request.body as Statements),
    );

    app.delete(
      '/api/recordings/:upload',
      {
        schema: {
          summary: 'drops an upload',
          params: UploadParams,
          response: { 204: Type.Null(), ...errors },
        },
      },
      async (request, reply) => {
        await uploads.remove((await uploads.find(request.params.upload)).upload);
        return reply.code(204).send(null);
      },
    );

    app.post(
      '/api/recordings/:upload/import',
      {
        schema: {
          summary: 'imports an upload',
          params: UploadParams,
          body: ImportBody,
          response: { 202: JobStarted, ...errors },
        },
      },
      async (request, reply) => {
        const { upload } = request.params;
        const { name, drive, notes, ...statements } = request.body;
        const kept = await jobs.known('import', [upload, request.body]);
        if (kept !== undefined) return reply.code(202).send({ job: kept });
        const { file } = await uploads.find(upload);
        const driveFile = drive === undefined ? undefined : fileIn('drives', drive, '.yaml');
        const job = jobs.start('import', [upload, request.body], async (signal, onProgress) => {
          const input = {
            folder,
            file: `${folder}/${file}`,
            name,
            imported: today(),
            notes,
            driveFile,
            statements: statements as Statements,
          };
          const result = await pool.run('importRecording', input, { signal, onProgress, isGentle: true });
          if (result.written !== undefined) {
            await uploads.remove(upload);
            const key = await recordings.keyOf(result.written.data);
            await pool.run('makeTrace', { folder, file: result.written.data, key }, { signal, onProgress });
          }
          return result;
        });
        return reply.code(202).send({ job });
      },
    );
  };

function bodyOf(body: unknown): Readable {
  if (typeof body === 'object' && body !== null && 'pipe' in body) return body as Readable;
  throw new TautlineError(
    'request_invalid',
    { part: 'body' },
    'the request has no file in its body',
    'send the bytes of the file as application/octet-stream',
  );
}
