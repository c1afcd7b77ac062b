import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { TautlineError } from '../../engine/errors.js';
import { isOwnOrigin } from './origins.js';
import { loginPage, openedWithoutToken } from './pages.js';
import { bearerIn, cookieIn, type Sessions, sameSecret } from './session.js';

export interface GuardOptions {
  readonly sessions: Sessions;
  /** Known only when the server listens. */
  readonly hosts: () => ReadonlySet<string>;
  readonly port: () => number;
  readonly isSecure: boolean;
  /** Is there a password to log in with? */
  readonly hasPassword: boolean;
}

/** Cookies know no ports: two workbenches on one machine must not take each other's. */
export const cookieName = (port: number): string => `tautline_${port}`;

export const sessionCookie = (port: number, token: string, isSecure: boolean): string =>
  `${cookieName(port)}=${token}; HttpOnly; SameSite=Strict; Path=/${isSecure ? '; Secure' : ''}`;

const foreign = (what: string): TautlineError =>
  new TautlineError(
    'foreign_request',
    {},
    what,
    'open the workbench at the address that tautline serve printed',
  );

/** Files of the workbench hold nothing of the line folder; its first page and everything below /api do. */
const isOpen = (path: string): boolean => path === '/login' || path.startsWith('/assets/');

const pathOf = (url: string): string => url.split('?', 1)[0];
const asks = (request: FastifyRequest): boolean => request.method === 'GET' || request.method === 'HEAD';

/** Lets through only requests that name this server, come from its own pages, and carry a session. */
export function guard(app: FastifyInstance, options: GuardOptions): void {
  const { sessions, isSecure } = options;

  app.addHook('onRequest', async (request, reply) => {
    const { host = '', origin, 'sec-fetch-site': site } = request.headers;
    if (!options.hosts().has(host.toLowerCase())) {
      reply.header('connection', 'close');
      return refuse(reply, 421, foreign('the request names a host that this server is not'));
    }
    const path = pathOf(request.url);
    const isApi = path === '/api' || path.startsWith('/api/');
    const isForeign =
      (origin !== undefined && !isOwnOrigin(origin, host, isSecure ? 'https' : 'http')) ||
      // a foreign page may lead to ours, but not ask the server by itself
      ((isApi || !asks(request)) && (site === 'cross-site' || site === 'same-site'));
    if (isForeign) return refuse(reply, 403, foreign('the request comes from a page of another origin'));
    const bearer = bearerIn(request.headers.authorization);
    const isBearer = sessions.isValid(bearer);
    if (!asks(request) && origin === undefined && site !== 'same-origin' && !isBearer)
      return refuse(
        reply,
        403,
        foreign('a request that changes something must state its origin or the token'),
      );
    if (isOpen(path)) return;
    const stated = tokenIn(request);
    if (path === '/' && asks(request) && stated !== undefined && sameSecret(stated, sessions.token))
      return reply
        .code(303)
        .header('set-cookie', sessionCookie(options.port(), sessions.token, isSecure))
        .header('cache-control', 'no-store')
        .header('location', '/')
        .send();
    if (isBearer || sessions.isValid(cookieIn(request.headers.cookie, cookieName(options.port())))) return;
    if (isApi || !asks(request)) return refuse(reply, 401, unauthorised());
    return reply
      .code(401)
      .type('text/html; charset=utf-8')
      .header('cache-control', 'no-store')
      .send(options.hasPassword ? loginPage('first') : openedWithoutToken);
  });
}

export const unauthorised = (): TautlineError =>
  new TautlineError(
    'unauthorised',
    {},
    'the request carries no valid session',
    'open the address that tautline serve printed, or log in again',
  );

const tokenIn = (request: FastifyRequest): string | undefined =>
  new URLSearchParams(request.url.split('?')[1] ?? '').get('token') ?? undefined;

function refuse(reply: FastifyReply, status: number, error: TautlineError): FastifyReply {
  const { code, message, where, next } = error;
  return reply
    .code(status)
    .header('cache-control', 'no-store')
    .send({ error: { code, message, where, next } });
}
