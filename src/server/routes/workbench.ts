import { existsSync } from 'node:fs';
import { join } from 'node:path';
import staticFiles from '@fastify/static';
import type { FastifyInstance, FastifyReply } from 'fastify';
import { TautlineError } from '../../engine/errors.js';
import { replyError } from '../errorReply.js';
import { notBuilt } from '../security/pages.js';

/**
 * The workbench itself, from the folder where it is built. Every address that is no file and no part of the API is one of its views, so it gets the
 * first page. @param folder of the built workbench; until it is built a page says how
 */
export async function workbenchRoutes(
  app: FastifyInstance,
  folder: string,
  lineFolder: string,
): Promise<void> {
  const isBuilt = existsSync(join(folder, 'index.html'));
  if (isBuilt)
    await app.register(staticFiles, {
      root: folder,
      index: false,
      dotfiles: 'deny',
      cacheControl: false,
      // files in assets carry the hash of their content in their name
      setHeaders: (response, path) =>
        response.setHeader(
          'cache-control',
          path.startsWith(join(folder, 'assets')) ? 'public, max-age=31536000, immutable' : 'no-cache',
        ),
    });
  const firstPage = (reply: FastifyReply): FastifyReply =>
    isBuilt
      ? reply.header('cache-control', 'no-cache').sendFile('index.html')
      : reply.type('text/html; charset=utf-8').header('cache-control', 'no-store').send(notBuilt);
  app.get('/', { schema: { hide: true } }, (_, reply) => firstPage(reply));
  app.setNotFoundHandler((request, reply) => {
    const path = request.url.split('?', 1)[0];
    const isView = request.method === 'GET' && !/^\/(api|assets)(\/|$)/.test(path);
    if (isView) return firstPage(reply);
    const missing = new TautlineError(
      'not_found',
      { path: path.slice(0, 200) },
      `there is nothing at ${request.method} ${path.slice(0, 200)}`,
      '/api/openapi.json lists what there is',
    );
    return replyError(missing, lineFolder, request, reply);
  });
}
