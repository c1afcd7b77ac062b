import { readdir } from 'node:fs/promises';
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { isTautlineError } from '../../engine/errors.js';
import { driveSchema } from '../../engine/project/drive.js';
import { lineSchema } from '../../engine/project/line/lineDocument.js';
import { productSchema } from '../../engine/project/product/productDocument.js';
import { rollSchema } from '../../engine/project/roll/rollDocument.js';
import { confinePath } from '../../node/files/confinePath.js';
import { fileError } from '../../node/files/fileError.js';
import type { Context } from '../context.js';
import {
  conditionOf,
  fileIn,
  type ListedDocument,
  readEditable,
  type Understand,
  writeEditable,
} from '../documents/editable.js';
import {
  understandDrive,
  understandLine,
  understandProduct,
  understandRoll,
} from '../documents/understand.js';
import { errorDocument } from '../errorReply.js';
import { EditableAnswer, ListedDocuments } from '../schemas/answers.js';
import { errors, Name, strict } from '../schemas/common.js';

const TextBody = Type.Object({ text: Type.String() }, strict);
const SaveHeaders = Type.Object({
  'if-match': Type.Optional(Type.String({ maxLength: 200 })),
  'if-none-match': Type.Optional(Type.String({ maxLength: 200 })),
});
const NameParams = Type.Object({ name: Name }, strict);
const NoQuery = Type.Object({}, strict);
/** The schema that documents of each place are checked against. */
const schemas = {
  line: lineSchema,
  products: productSchema,
  drives: driveSchema,
  rolls: rollSchema,
} as const;
const answers = (place: keyof typeof schemas) => ({ 200: EditableAnswer(schemas[place]), ...errors });

/** The documents that are edited: the line, its products, drives and rolls. */
export const documentRoutes =
  ({ folder }: Context): FastifyPluginAsyncTypebox =>
  async (app) => {
    const understand = understandLine(folder);
    const response = answers('line');
    app.get('/api/line', { schema: { summary: 'line.yaml', querystring: NoQuery, response } }, () =>
      readEditable(folder, 'line.yaml', understand),
    );
    app.put(
      '/api/line',
      {
        schema: {
          summary: 'saves line.yaml',
          body: TextBody,
          headers: SaveHeaders,
          querystring: NoQuery,
          response,
        },
      },
      (request) =>
        writeEditable(folder, 'line.yaml', request.body.text, conditionOf(request.headers), understand),
    );
    await app.register(placeRoutes(folder, 'products', understandProduct));
    await app.register(placeRoutes(folder, 'drives', understandDrive));
    await app.register(placeRoutes(folder, 'rolls', understandRoll));
  };

const placeRoutes =
  (
    folder: string,
    place: Exclude<keyof typeof schemas, 'line'>,
    understand: Understand,
  ): FastifyPluginAsyncTypebox =>
  async (app) => {
    const response = answers(place);
    app.get(
      `/api/${place}`,
      {
        schema: {
          summary: `the documents in ${place}`,
          querystring: NoQuery,
          response: { 200: ListedDocuments, ...errors },
        },
      },
      () => listOf(folder, place, understand),
    );
    app.get(
      `/api/${place}/:name`,
      { schema: { summary: `one of ${place}`, params: NameParams, querystring: NoQuery, response } },
      async (request) =>
        readEditable(folder, await existingFile(folder, place, request.params.name), understand),
    );
    app.put(
      `/api/${place}/:name`,
      {
        schema: {
          summary: `saves one of ${place}`,
          params: NameParams,
          body: TextBody,
          headers: SaveHeaders,
          querystring: NoQuery,
          response,
        },
      },
      async (request) => {
        const file = await existingFile(folder, place, request.params.name);
        return writeEditable(folder, file, request.body.text, conditionOf(request.headers), understand);
      },
    );
  };

/** Names of the documents of a place, with their endings. */
async function namesIn(folder: string, place: string): Promise<string[]> {
  const inside = await confinePath(folder, place);
  try {
    return (await readdir(inside)).filter((n) => /\.ya?ml$/i.test(n) && !n.startsWith('.')).sort();
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw fileError(error, inside);
  }
}

/** The file of a name: NAME.yaml, or NAME.yml where that is what is there. */
async function existingFile(folder: string, place: string, name: string): Promise<string> {
  const usual = fileIn(place, name, '.yaml');
  const names = await namesIn(folder, place);
  return !names.includes(`${name}.yaml`) && names.includes(`${name}.yml`) ? `${place}/${name}.yml` : usual;
}

async function listOf(folder: string, place: string, understand: Understand): Promise<ListedDocument[]> {
  const out: ListedDocument[] = [];
  for (const file of await namesIn(folder, place)) {
    const name = file.replace(/\.ya?ml$/i, '');
    try {
      const { version, error } = await readEditable(folder, `${place}/${file}`, understand);
      out.push({ name, version, ...(error && { error }) });
    } catch (error) {
      if (!isTautlineError(error)) throw error;
      out.push({ name, error: errorDocument(error, folder) });
    }
  }
  return out;
}
