import helmet from '@fastify/helmet';
import type { FastifyInstance } from 'fastify';

/**
 * What the browser may do with what this server sends: run and load nothing but its own files, be shown in no other page, tell no other server where
 * it came from. Styles set on an element are allowed, since plots and formulas place their parts so; scripts in a page never are.
 */
export async function contentPolicy(app: FastifyInstance, isSecure: boolean): Promise<void> {
  await app.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'", "'unsafe-inline'"],
        imgSrc: ["'self'", 'data:', 'blob:'],
        fontSrc: ["'self'"],
        connectSrc: ["'self'"],
        workerSrc: ["'self'"],
        manifestSrc: ["'self'"],
        frameSrc: ["'self'"],
        formAction: ["'self'"],
        baseUri: ["'none'"],
        frameAncestors: ["'none'"],
        objectSrc: ["'none'"],
      },
    },
    crossOriginEmbedderPolicy: false,
    crossOriginOpenerPolicy: { policy: 'same-origin' },
    crossOriginResourcePolicy: { policy: 'same-origin' },
    // with no-referrer a browser would state the origin of our own log-in form as null
    referrerPolicy: { policy: 'same-origin' },
    hsts: isSecure ? { maxAge: 180 * 24 * 3600, includeSubDomains: false } : false,
    xFrameOptions: { action: 'deny' },
  });
}

/** The report is a document of its own: no script, no request, styles in its head; it may be shown inside the workbench. */
export const reportPolicy =
  "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'self'";
