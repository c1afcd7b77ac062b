import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { isTautlineError } from '../../engine/errors.js';
import {
  type AnnotationsDocument,
  annotationsFile,
  annotationsSchema,
  stretchBounds,
} from '../../engine/project/annotations.js';
import { parsePlacedDocument, placedError } from '../../node/documents/yamlDocument.js';
import type { Context } from '../context.js';
import { conditionOf, readEditable, type Understand, writeEditable } from '../documents/editable.js';
import { MaybeEditableAnswer } from '../schemas/answers.js';
import { errors, Name, strict } from '../schemas/common.js';

const Params = Type.Object({ name: Name }, strict);
const response = { 200: MaybeEditableAnswer(annotationsSchema), ...errors };

/** What people noted of the stretches of a recording, kept in a document beside it. */
export const annotationRoutes =
  ({ folder, recordings }: Context): FastifyPluginAsyncTypebox =>
  async (app) => {
    const fileOf = async (name: string): Promise<string> => annotationsFile(await recordings.fileOf(name));

    app.get(
      '/api/recordings/:name/annotations',
      {
        schema: {
          summary: 'notes on the stretches of a recording; without a version while there are none',
          params: Params,
          querystring: Type.Object({}, strict),
          response,
        },
      },
      async (request) => {
        const file = await fileOf(request.params.name);
        try {
          return await readEditable(folder, file, understandAnnotations);
        } catch (error) {
          if (!isTautlineError(error) || error.code !== 'file_not_found') throw error;
          return { text: '', findings: [] };
        }
      },
    );

    app.put(
      '/api/recordings/:name/annotations',
      {
        schema: {
          summary: 'saves the notes on the stretches of a recording',
          params: Params,
          body: Type.Object({ text: Type.String() }, strict),
          headers: Type.Object({
            'if-match': Type.Optional(Type.String({ maxLength: 200 })),
            'if-none-match': Type.Optional(Type.String({ maxLength: 200 })),
          }),
          querystring: Type.Object({}, strict),
          response,
        },
      },
      async (request) =>
        writeEditable(
          folder,
          await fileOf(request.params.name),
          request.body.text,
          conditionOf(request.headers),
          understandAnnotations,
        ),
    );
  };

const understandAnnotations: Understand = (text, file) => {
  const { data, placed } = parsePlacedDocument(text, file, annotationsSchema);
  const document = data as AnnotationsDocument;
  try {
    document.stretches.forEach(stretchBounds);
  } catch (error) {
    throw placedError(error, placed);
  }
  return { document, findings: [] };
};
