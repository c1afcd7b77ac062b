import { basename } from 'node:path';
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { isTautlineError } from '../../engine/errors.js';
import { type LineDocument, lineSchema } from '../../engine/project/line/lineDocument.js';
import { readYamlDocument } from '../../node/documents/yamlDocument.js';
import { confinePath } from '../../node/files/confinePath.js';
import type { Context } from '../context.js';
import { errorDocument } from '../errorReply.js';
import { BoardAnswer, FolderAnswer } from '../schemas/answers.js';
import { errors, strict, Units } from '../schemas/common.js';

const UnitsQuery = Type.Object({ units: Units }, strict);

export const today = (): string => new Date().toISOString().slice(0, 10);

/** The folder as a whole: what it is, its board, its report. */
export const folderRoutes =
  ({ folder, programVersion, pool }: Context): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/api/folder',
      {
        schema: {
          summary: 'what this line folder is',
          querystring: Type.Object({}, strict),
          response: {
            200: FolderAnswer,
            ...errors,
          },
        },
      },
      async () => {
        const base = { name: basename(folder), programVersion };
        try {
          const path = await confinePath(folder, 'line.yaml');
          const line = (await readYamlDocument(path, lineSchema)) as LineDocument;
          return { ...base, line: line.name, invented: line.invented === true };
        } catch (error) {
          if (!isTautlineError(error)) throw error;
          return { ...base, invented: false, error: errorDocument(error, folder) };
        }
      },
    );

    app.get(
      '/api/board',
      {
        schema: {
          summary: 'the commissioning board',
          querystring: UnitsQuery,
          response: { 200: BoardAnswer, ...errors },
        },
      },
      (request) => pool.run('board', { folder, today: today(), units: request.query.units ?? 'si' }),
    );
  };
