import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { cpSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { type IncomingHttpHeaders, request } from 'node:http';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { text } from 'node:stream/consumers';
import { pathToFileURL } from 'node:url';
import type { RunningServer, ServerOptions } from '../../src/server/startServer.js';
import { buildProgram, mainFile } from '../support/cli.js';
import { staircase } from '../support/profiles.js';

const root = resolve(import.meta.dirname, '../..');

/** An invented drive: what it is made of, so that what comes out can be held against it. Torques at the motor. */
export const truth = { inertia: 0.05, coulomb: 0.8, viscous: 0.006 } as const;

/** A recording of the invented drive: plateaus and ramps, and what the equation of motion asks for. */
export function exportText(hold = 3): string {
  const { time, value, slope } = staircase([0, 30, 60, 90, 120, 150, 0], hold, 40, 0.01);
  const rows = Array.from(time, (t, i) => {
    const w = value[i];
    // a fixed ripple instead of noise, so that every run is the same
    const ripple = 0.004 * Math.sin(37.1 * i) + 0.003 * Math.sin(11.7 * i * i);
    const torque = truth.inertia * slope[i] + (w === 0 ? 0 : truth.coulomb + truth.viscous * w) + ripple;
    return `${t.toFixed(2)},${(w + 0.01 * Math.sin(23.3 * i)).toFixed(4)},${torque.toFixed(4)}`;
  });
  return `Time [s],Speed act [rad/s],Torque act [N.m]\n${rows.join('\n')}\n`;
}

/** A small line folder: the documents of the demo line, and one recording. */
export function lineFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'tautline-server-'));
  for (const part of ['line.yaml', 'drives', 'products', 'rolls'])
    cpSync(join(root, 'demo', part), join(folder, part), { recursive: true });
  mkdirSync(join(folder, 'exports'));
  writeFileSync(join(folder, 'exports', 'pull-roll.as-found.csv'), exportText());
  return folder;
}

export interface TestServer extends RunningServer {
  readonly folder: string;
  /** Asks with the token. */
  ask(path: string, init?: RequestInit): Promise<Response>;
  /** Asks with the token and gives the JSON of an answer with this status. */
  json<T = Record<string, unknown>>(path: string, status?: number, init?: RequestInit): Promise<T>;
  /** Asks until a job has ended. */
  ended<R = Record<string, never>>(job: string): Promise<Job<R>>;
  stop(): Promise<void>;
}

export interface Job<R = Record<string, never>> {
  readonly id: string;
  readonly state: string;
  readonly progress: { readonly done: number; readonly total: number; readonly words: string };
  readonly result?: R;
  readonly error?: { readonly code: string; readonly message: string };
}

let isBuilt = false;

/** The built server on a folder of its own: its workers are threads, which need compiled code. */
export async function startServer(options: Partial<ServerOptions> = {}): Promise<TestServer> {
  if (!isBuilt) buildProgram();
  isBuilt = true;
  const module = pathToFileURL(join(root, 'dist/server/startServer.js')).href;
  const built = (await import(module)) as typeof import('../../src/server/startServer.js');
  const folder = options.folder ?? lineFolder();
  const server = await built.startServer({ programVersion: 'test', ...options, folder });
  const base = new URL(server.url).origin;
  const ask: TestServer['ask'] = (path, init = {}) =>
    fetch(base + path, {
      ...init,
      headers: { authorization: `Bearer ${server.token}`, ...(init.headers as Record<string, string>) },
    });
  const json = async <T>(path: string, status = 200, init?: RequestInit): Promise<T> => {
    const answer = await ask(path, init);
    const body = await answer.text();
    if (answer.status !== status) throw new Error(`${path}: ${answer.status} instead of ${status}: ${body}`);
    return JSON.parse(body) as T;
  };
  return {
    ...server,
    folder,
    ask,
    json,
    ended: async <R>(id: string) => {
      for (;;) {
        const job = await json<Job<R>>(`/api/jobs/${id}`);
        if (job.state !== 'queued' && job.state !== 'running') return job;
        await new Promise((r) => setTimeout(r, 20));
      }
    },
    stop: async () => {
      await server.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** A body of JSON. */
export const post = (body: unknown, method = 'POST', headers: Record<string, string> = {}): RequestInit => ({
  method,
  headers: { 'content-type': 'application/json', ...headers },
  body: JSON.stringify(body),
});

export interface RawAnswer {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly body: string;
}

/** A request exactly as stated: no client here sets Host, Origin or path by itself. */
export function raw(
  port: number,
  path: string,
  headers: Record<string, string> = {},
  { method = 'GET', body }: { method?: string; body?: string } = {},
): Promise<RawAnswer> {
  return new Promise((done, fail) => {
    const sent = request(
      {
        host: '127.0.0.1',
        port,
        path,
        method,
        setHost: false,
        headers: { host: `127.0.0.1:${port}`, ...headers },
      },
      (answer) =>
        text(answer).then(
          (found) => done({ status: answer.statusCode ?? 0, headers: answer.headers, body: found }),
          fail,
        ),
    );
    sent.on('error', fail);
    sent.end(body);
  });
}

export interface ServerEvent {
  readonly event: string;
  readonly data: Record<string, unknown>;
}

export interface EventStream {
  readonly seen: readonly ServerEvent[];
  /** The first event, of those that came or are to come, that is as wanted. */
  wait(wanted: (event: ServerEvent) => boolean): Promise<ServerEvent>;
  close(): void;
}

/** Listens to a server; ready when it is. */
export async function listen(server: TestServer): Promise<EventStream> {
  const abort = new AbortController();
  const answer = await server.ask('/api/events', { signal: abort.signal });
  const seen: ServerEvent[] = [];
  let news = (): void => undefined;
  const read = async (): Promise<void> => {
    const decoder = new TextDecoder();
    let rest = '';
    for await (const piece of answer.body as AsyncIterable<Uint8Array>) {
      const messages = (rest + decoder.decode(piece, { stream: true })).split('\n\n');
      rest = messages.pop() ?? '';
      for (const message of messages) {
        const field = (name: string): string => new RegExp(`^${name}: (.*)$`, 'm').exec(message)?.[1] ?? '';
        if (field('event') !== '') seen.push({ event: field('event'), data: JSON.parse(field('data')) });
      }
      news();
    }
  };
  void read().catch(() => undefined);
  const wait = async (wanted: (event: ServerEvent) => boolean): Promise<ServerEvent> => {
    for (;;) {
      const found = seen.find(wanted);
      if (found !== undefined) return found;
      await new Promise<void>((done) => {
        news = done;
      });
    }
  };
  await wait((e) => e.event === 'ready');
  return { seen, wait, close: () => abort.abort() };
}

export interface Served {
  /** As printed; undefined when it ended instead. */
  readonly url: string | undefined;
  readonly origin: string;
  readonly token: string;
  err(): string;
  end(signal: NodeJS.Signals): Promise<number | null>;
  /** Exit code of one that ends by itself. */
  code(): Promise<number | null>;
}

/** A real `tautline serve`, in a process of its own. */
export async function served(folder: string, home: string, args: readonly string[] = []): Promise<Served> {
  const child = spawn(process.execPath, [mainFile, 'serve', folder, ...args], {
    env: { ...process.env, XDG_CONFIG_HOME: home, APPDATA: home },
  });
  let out = '';
  let err = '';
  child.stderr.on('data', (chunk) => (err += chunk));
  const ended = once(child, 'close');
  await Promise.race([
    new Promise<void>((done) =>
      child.stdout.on('data', (chunk) => {
        out += chunk;
        if (out.includes('\n')) done();
      }),
    ),
    ended,
  ]);
  const url = /^Tautline workbench: (\S+)\n$/.exec(out)?.[1];
  const { origin, searchParams } = new URL(url ?? 'http://none/?token=none');
  return {
    url,
    origin,
    token: searchParams.get('token') ?? '',
    err: () => err,
    end: async (signal: NodeJS.Signals): Promise<number | null> => {
      child.kill(signal);
      return (await ended)[0] as number | null;
    },
    code: async () => (await ended)[0] as number | null,
  };
}
