import { readFile } from 'node:fs/promises';
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { feedForward } from '../../engine/feedforward/feedForward.js';
import { compareIdentifications } from '../../engine/identify/compare/compare.js';
import { toComparisonDocument } from '../../engine/project/comparison.js';
import { toDrive } from '../../engine/project/drive.js';
import { toFeedForwardDocument } from '../../engine/project/feedforward.js';
import {
  fromIdentificationDocument,
  type IdentificationDocument,
} from '../../engine/project/identification.js';
import { recordingName } from '../../engine/project/visit.js';
import { readIdentification } from '../../node/documents/readIdentification.js';
import { confinePath } from '../../node/files/confinePath.js';
import { fileError } from '../../node/files/fileError.js';
import { withFolderLock } from '../../node/files/withFolderLock.js';
import { writeResult } from '../../node/lineFolder/writeResult.js';
import type { Context } from '../context.js';
import { fileIn, versionOf } from '../documents/editable.js';
import type { IdentifyOptionsDocument, IdentifyResultDocument } from '../jobs/tasks.js';
import {
  ComparisonAnswer,
  FeedForwardAnswer,
  PlayedAnswer,
  ResultAnswer,
  ResultsAnswer,
} from '../schemas/answers.js';
import { errors, Name, strict } from '../schemas/common.js';
import { CompareBody, FeedForwardQuery, IdentifyBody, PlayQuery } from '../schemas/identifications.js';
import { today } from './folder.js';
import { JobStarted } from './jobs.js';

const Params = Type.Object({ name: Name }, strict);
/** How long a result waits for another writer of the folder [ms]. */
const patience = 10_000;
/** Enough for a plot across a wide screen. */
const usualBuckets = 1000;

/** Results: made as jobs, kept in identifications/, and what follows from them. */
export const identificationRoutes =
  ({ folder, recordings, pool, jobs }: Context): FastifyPluginAsyncTypebox =>
  async (app) => {
    const read = async (name: string): Promise<IdentificationDocument> =>
      readIdentification(await confinePath(folder, fileIn('identifications', name, '.json')));

    app.get(
      '/api/identifications',
      {
        schema: {
          summary: 'the results of the folder, with what is stale about them',
          querystring: Type.Object({}, strict),
          response: { 200: ResultsAnswer, ...errors },
        },
      },
      () => pool.run('listIdentifications', { folder }),
    );

    app.get(
      '/api/identifications/:name',
      { schema: { summary: 'one result', params: Params, response: { 200: ResultAnswer, ...errors } } },
      (request) => read(request.params.name),
    );

    app.get(
      '/api/identifications/:name/feedforward',
      {
        schema: {
          summary: 'the torque feed-forward of a result',
          params: Params,
          querystring: FeedForwardQuery,
          response: { 200: FeedForwardAnswer, ...errors },
        },
      },
      async (request) => {
        const document = await read(request.params.name);
        const drive = toDrive(document.drive);
        const made = feedForward(fromIdentificationDocument(document), drive, request.query);
        return toFeedForwardDocument(made, drive.ratedTorque);
      },
    );

    app.get(
      '/api/identifications/:name/feedforward/play',
      {
        schema: {
          summary: 'what the web would have felt in a recording, without and with the feed-forward',
          params: Params,
          querystring: PlayQuery,
          response: { 200: PlayedAnswer, ...errors },
        },
      },
      async (request) => {
        const { recording, buckets = usualBuckets, ...options } = request.query;
        const file = await recordings.fileOf(recording);
        const key = await recordings.keyOf(file);
        const identification = fileIn('identifications', request.params.name, '.json');
        return pool.run('play', { folder, identification, file, key, buckets, ...options });
      },
    );

    app.post(
      '/api/identifications',
      {
        schema: {
          summary: 'identifies a drive from a recording',
          body: IdentifyBody,
          response: { 202: JobStarted, ...errors },
        },
      },
      async (request, reply) => {
        const { recording, drive, options = {}, store = false, visit } = request.body;
        const file = await recordings.fileOf(recording);
        const driveFile = fileIn('drives', drive, '.yaml');
        const driveVersion = await fileVersion(folder, driveFile);
        const key = `${await recordings.keyOf(file)} ${driveFile} ${driveVersion}`;
        const inputs = [key, options, store, visit];
        const kept = await jobs.known('identify', inputs);
        if (kept !== undefined) return reply.code(202).send({ job: kept });
        const job = jobs.start('identify', inputs, async (signal, onProgress) => {
          const input = { folder, file, driveFile, key, options: options as IdentifyOptionsDocument };
          const result = await pool.run('identify', input, { signal, onProgress });
          if (!store || signal.aborted) return result;
          return { ...result, stored: await keep(folder, drive, visit ?? visitOf(file, drive), result) };
        });
        return reply.code(202).send({ job });
      },
    );

    app.post(
      '/api/compare',
      {
        schema: {
          summary: 'what changed between two results',
          body: CompareBody,
          response: { 200: ComparisonAnswer, ...errors },
        },
      },
      async (request) => {
        const { earlier, later, tolerance, runningTension_N: runningTension } = request.body;
        const [a, b] = [await read(earlier), await read(later)];
        const comparison = compareIdentifications(
          fromIdentificationDocument(a),
          fromIdentificationDocument(b),
          { earlier: toDrive(a.drive), later: toDrive(b.drive) },
          { ...(tolerance !== undefined && { tolerance }), runningTension },
        );
        return toComparisonDocument(comparison);
      },
    );
  };

async function fileVersion(folder: string, file: string): Promise<string> {
  const path = await confinePath(folder, file);
  try {
    return versionOf(await readFile(path));
  } catch (error) {
    throw fileError(error, path);
  }
}

/** The visit of a recording of this drive by its name; a recording that names none was made today, as far as is known. */
function visitOf(file: string, drive: string): string {
  const parts = recordingName(file);
  return parts?.drive === drive ? parts.visit : today();
}

/** Keeps a result under a name of its own. @returns that name */
async function keep(
  folder: string,
  drive: string,
  visit: string,
  { document }: IdentifyResultDocument,
): Promise<string> {
  const text = `${JSON.stringify(document, null, 2)}\n`;
  const path = await withFolderLock(folder, patience, () =>
    writeResult(folder, 'identifications', `${drive}.${visit}`, text),
  );
  return path.replace(/^.*[\\/]|\.json$/g, '');
}
