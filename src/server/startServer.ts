import { realpath, stat } from 'node:fs/promises';
import type { AddressInfo } from 'node:net';
import { fileURLToPath } from 'node:url';
import swagger from '@fastify/swagger';
import { type TypeBoxTypeProvider, TypeBoxValidatorCompiler } from '@fastify/type-provider-typebox';
import Fastify, { type FastifyInstance } from 'fastify';
import { TautlineError } from '../engine/errors.js';
import { systemCode } from '../node/files/writeError.js';
import type { Context } from './context.js';
import { replyError } from './errorReply.js';
import { Events } from './events/events.js';
import { watchFolder } from './events/watchFolder.js';
import { Jobs } from './jobs/jobs.js';
import { Pool } from './jobs/pool.js';
import { Recordings } from './recordings/recordings.js';
import { Uploads } from './recordings/uploads.js';
import { annotationRoutes } from './routes/annotations.js';
import { documentRoutes } from './routes/documents.js';
import { eventRoutes } from './routes/events.js';
import { folderRoutes } from './routes/folder.js';
import { identificationRoutes } from './routes/identifications.js';
import { jobRoutes } from './routes/jobs.js';
import { recordingRoutes } from './routes/recordings.js';
import { reportRoutes } from './routes/report.js';
import { traceRoutes } from './routes/traces.js';
import { workbenchRoutes } from './routes/workbench.js';
import { contentPolicy } from './security/contentPolicy.js';
import { guard } from './security/guard.js';
import { login } from './security/login.js';
import { inAddress, isLoopback, ownHosts } from './security/origins.js';
import type { PasswordRecord } from './security/password.js';
import { newToken, Sessions } from './security/session.js';

export interface ServerOptions {
  /** The line folder. */
  readonly folder: string;
  readonly programVersion: string;
  /** 0 for any free port, which is the default. */
  readonly port?: number;
  /** Address to listen at; loopback by default. Any other needs a password. */
  readonly host?: string;
  readonly password?: PasswordRecord;
  /** Certificate and key (PEM); with them the server speaks HTTPS and its cookie is Secure. */
  readonly tls?: { readonly cert: string | Buffer; readonly key: string | Buffer };
  /** Of the session; a new random one by default. */
  readonly token?: string;
  /** Folder of the built workbench. */
  readonly workbench?: string;
  /** Bytes of an upload; 4 GiB by default. */
  readonly mostUploadBytes?: number;
}

export interface RunningServer {
  /** With the token: whoever opens it is in. */
  readonly url: string;
  readonly token: string;
  readonly port: number;
  close(): Promise<void>;
}

/** A document has at most 1 MiB; as JSON it may take several times that. */
const bodyLimit = 8 * 1024 * 1024;
const usualUpload = 4 * 1024 ** 3;

/**
 * Serves the workbench of a line folder until it is closed.
 * @throws TautlineError file_not_found for the folder, password_missing, address_unusable
 */
export async function startServer(options: ServerOptions): Promise<RunningServer> {
  const { host = '127.0.0.1', port = 0, password, tls } = options;
  const folder = await lineFolder(options.folder);
  if (!isLoopback(host) && password === undefined)
    throw new TautlineError(
      'password_missing',
      { host },
      `at ${host} other machines can reach the line folder, and no password is set`,
      'set one with tautline set-password, then start again',
    );
  const sessions = new Sessions(options.token ?? newToken());
  const events = new Events();
  const pool = new Pool();
  const uploads = new Uploads(folder, options.mostUploadBytes ?? usualUpload);
  const jobs = new Jobs(folder, ({ id, kind, state, progress }) =>
    events.send('job', { id, kind, state, progress }),
  );
  const context: Context = {
    folder,
    programVersion: options.programVersion,
    events,
    pool,
    jobs,
    uploads,
    recordings: new Recordings(folder, pool),
  };
  const app = Fastify({
    bodyLimit,
    routerOptions: { maxParamLength: 300 },
    // an upload may take its time; a connection that sends no whole header is ended by Node itself after a minute
    requestTimeout: 0,
    keepAliveTimeout: 30_000,
    forceCloseConnections: true,
    ...(tls && { https: { cert: tls.cert, key: tls.key } }),
  }) as FastifyInstance;
  let listening = port;
  let hosts: ReadonlySet<string> = new Set();
  const security = {
    sessions,
    isSecure: tls !== undefined,
    port: () => listening,
    hosts: () => hosts,
    hasPassword: password !== undefined,
  };
  const close = async (): Promise<void> => {
    watch?.close();
    jobs.close();
    events.close();
    await app.close();
    await pool.close();
  };
  let watch: Awaited<ReturnType<typeof watchFolder>> | undefined;
  try {
    await build(app, context, security, options);
    watch = await watchFolder(folder, (change) => events.send('change', change));
    await listen(app, host, port);
    listening = (app.server.address() as AddressInfo).port;
    hosts = ownHosts(host, listening);
  } catch (error) {
    await close();
    throw error;
  }
  void uploads.removeOld();
  const scheme = tls === undefined ? 'http' : 'https';
  const shown = host === '0.0.0.0' || host === '::' ? '127.0.0.1' : inAddress(host);
  const url = `${scheme}://${shown}:${listening}/?token=${sessions.token}`;
  return { url, token: sessions.token, port: listening, close };
}

async function build(
  app: FastifyInstance,
  context: Context,
  security: Parameters<typeof guard>[1],
  { password, workbench, programVersion }: ServerOptions,
): Promise<void> {
  app.withTypeProvider<TypeBoxTypeProvider>().setValidatorCompiler(TypeBoxValidatorCompiler);
  // documents are sent as they are: schemas of answers describe them and take nothing away
  app.setSerializerCompiler(() => (data) => JSON.stringify(data));
  app.setErrorHandler((error, request, reply) => replyError(error, context.folder, request, reply));
  await contentPolicy(app, security.isSecure);
  guard(app, security);
  if (password !== undefined) await login(app, { ...security, password });
  await app.register(swagger, {
    openapi: { info: { title: 'Tautline workbench', version: programVersion } },
  });
  app.addHook('onSend', async (request, reply) => {
    // what is in the folder may change at any time, and belongs to nobody's cache
    if (request.url.startsWith('/api') && !reply.hasHeader('cache-control'))
      reply.header('cache-control', 'no-store');
  });
  for (const routes of [
    folderRoutes,
    documentRoutes,
    recordingRoutes,
    traceRoutes,
    annotationRoutes,
    identificationRoutes,
    reportRoutes,
    jobRoutes,
    eventRoutes,
  ])
    await app.register(routes(context));
  app.get('/api/openapi.json', { schema: { hide: true } }, async () => app.swagger());
  await workbenchRoutes(
    app,
    workbench ?? fileURLToPath(new URL('../workbench/', import.meta.url)),
    context.folder,
  );
}

async function listen(app: FastifyInstance, host: string, port: number): Promise<void> {
  try {
    await app.listen({ host, port });
  } catch (error) {
    const cause = systemCode(error);
    throw new TautlineError(
      'address_unusable',
      { host, port, cause },
      `the server cannot listen at ${host}, port ${port} (${cause})`,
      cause === 'EADDRINUSE'
        ? 'another program uses this port: leave --port out for any free one'
        : 'name an address of this machine with --host, and a port from 1024',
    );
  }
}

async function lineFolder(path: string): Promise<string> {
  const real = await realpath(path).catch(() => undefined);
  if (real !== undefined && (await stat(real)).isDirectory()) return real;
  throw new TautlineError(
    'file_not_found',
    { folder: path },
    `there is no folder ${path}`,
    'name a line folder: one with line.yaml, drives and recordings in it',
  );
}
