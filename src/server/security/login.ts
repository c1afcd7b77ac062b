import rateLimit from '@fastify/rate-limit';
import type { FastifyInstance } from 'fastify';
import { sessionCookie } from './guard.js';
import { loginPage } from './pages.js';
import { isPassword, type PasswordRecord } from './password.js';
import type { Sessions } from './session.js';

export interface LoginOptions {
  readonly sessions: Sessions;
  readonly password: PasswordRecord;
  readonly port: () => number;
  readonly isSecure: boolean;
}

/** Tries within a minute from one address. */
const mostTries = 5;

/** An address of the newer kind stands for the network that it was given: whoever has one has 2^64 of them. */
export const clientOf = (ip: string): string =>
  ip.includes(':') && !ip.includes('.') ? ip.split(':').slice(0, 4).join(':') : ip;

/** The form of the password, and what becomes of it. */
export async function login(app: FastifyInstance, options: LoginOptions): Promise<void> {
  await app.register(async (inside) => {
    await inside.register(rateLimit, { global: false });
    inside.addContentTypeParser(
      'application/x-www-form-urlencoded',
      { parseAs: 'string', bodyLimit: 4096 },
      (_, body, done) => done(null, new URLSearchParams(String(body))),
    );
    inside.get('/login', async (_, reply) => reply.type('text/html; charset=utf-8').send(loginPage('first')));
    inside.post(
      '/login',
      {
        config: {
          rateLimit: {
            max: mostTries,
            timeWindow: '1 minute',
            keyGenerator: (request) => clientOf(request.ip),
            // thrown by the plugin, so that the form says it
            errorResponseBuilder: () => Object.assign(new Error('too many tries'), { statusCode: 429 }),
          },
        },
        errorHandler: async (error, _, reply) => {
          const tooMany = (error as { statusCode?: number }).statusCode === 429;
          return reply
            .code(tooMany ? 429 : 400)
            .type('text/html; charset=utf-8')
            .header('cache-control', 'no-store')
            .send(loginPage(tooMany ? 'too-many' : 'wrong'));
        },
      },
      async (request, reply) => {
        const stated = request.body instanceof URLSearchParams ? request.body.get('password') : undefined;
        reply.header('cache-control', 'no-store');
        if (!(await isPassword(options.password, stated ?? '')))
          return reply.code(401).type('text/html; charset=utf-8').send(loginPage('wrong'));
        return reply
          .code(303)
          .header('set-cookie', sessionCookie(options.port(), options.sessions.give(), options.isSecure))
          .header('location', '/')
          .send();
      },
    );
  });
}
