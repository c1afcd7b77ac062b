import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { readFile } from 'node:fs/promises';
import { createInterface } from 'node:readline/promises';
import { Writable } from 'node:stream';
import { type Command, InvalidArgumentError } from 'commander';
import { TautlineError } from '../engine/errors.js';
import { fileError } from '../node/files/fileError.js';
import { isLoopback } from '../server/security/origins.js';
import { keptToken, ownFolder } from '../server/security/ownFolder.js';
import { readPassword, storePassword } from '../server/security/password.js';
import { asTautlineError, reportError } from './output.js';

const portNumber = (text: string): number => {
  const value = Number(text);
  if (!Number.isInteger(value) || value < 0 || value > 65535)
    throw new InvalidArgumentError('expected a port from 0 to 65535');
  return value;
};

interface Options {
  readonly port: number;
  readonly host: string;
  readonly tlsCert?: string;
  readonly tlsKey?: string;
  readonly open?: boolean;
}

export function registerServe(program: Command, programVersion: string): void {
  program
    .command('serve')
    .argument('<folder>', 'line folder')
    .description('the workbench: a local web application on a line folder')
    .option('--port <number>', 'port to listen at; 0 is any free one', portNumber, 0)
    .option(
      '--host <address>',
      'address to listen at; any but loopback needs a password (tautline set-password)',
      '127.0.0.1',
    )
    .option('--tls-cert <file>', 'certificate (PEM), to serve over HTTPS')
    .option('--tls-key <file>', 'its key (PEM)')
    .option('--open', 'open it in the browser')
    .action((folder: string, options: Options) =>
      withErrors(async () => {
        if ((options.tlsCert === undefined) !== (options.tlsKey === undefined))
          throw new TautlineError(
            'usage',
            {},
            '--tls-cert and --tls-key belong together',
            'give both, or neither',
          );
        await serve(folder, options, programVersion);
      }),
    );
  program
    .command('set-password')
    .description('sets the password that the workbench asks for when it is served with --host')
    .action(() =>
      withErrors(async () => {
        const path = await storePassword(ownFolder(), await readSecret('Password, 12 characters or more: '));
        process.stdout.write(`The password is set for your account; its scrypt key is in ${path}.\n`);
      }),
    );
}

async function withErrors(action: () => Promise<void>): Promise<void> {
  try {
    await action();
  } catch (error) {
    reportError(false, asTautlineError(error));
  }
}

/** Serves until it is told to end. */
async function serve(folder: string, options: Options, programVersion: string): Promise<void> {
  const own = ownFolder();
  const isOpen = !isLoopback(options.host);
  const kept = await keptToken(own, folder).catch(() => undefined);
  const password = isOpen ? await readPassword(own) : undefined;
  const tls =
    options.tlsCert === undefined || options.tlsKey === undefined
      ? undefined
      : { cert: await readPem(options.tlsCert), key: await readPem(options.tlsKey) };
  // only now: no other command shall wait for the server to be loaded
  const { startServer } = await import('../server/startServer.js');
  const server = await startServer({
    folder,
    programVersion,
    port: options.port,
    host: options.host,
    ...(kept && { token: kept.token }),
    ...(password && { password }),
    ...(tls && { tls }),
  });
  if (isOpen)
    process.stderr.write(
      `Every machine that reaches ${options.host} can open the workbench with the password: it reads and writes the documents,\nrecordings and results of ${folder}, and nothing outside it.\n${
        tls === undefined
          ? 'Password and session travel readably in this network (no TLS): give --tls-cert and --tls-key, or use it in a network of your own only.\n'
          : ''
      }`,
    );
  await askFirst(server.url, server.token);
  // before the address is printed: whoever reads it may end the server at once
  const told = new AbortController();
  const end = Promise.race(
    (['SIGINT', 'SIGTERM'] as const).map((signal) => once(process, signal, { signal: told.signal })),
  );
  process.stdout.write(`Tautline workbench: ${server.url}\n`);
  if (options.open) openBrowser(server.url);
  await end;
  told.abort();
  await kept?.forget();
  await server.close();
}

async function readPem(path: string): Promise<string> {
  try {
    return await readFile(path, 'utf8');
  } catch (error) {
    throw fileError(error, path);
  }
}

/** A browser that does not open costs nothing: the address is printed. */
function openBrowser(url: string): void {
  const [command, ...args] =
    process.platform === 'win32'
      ? ['rundll32', 'url.dll,FileProtocolHandler', url]
      : [process.platform === 'darwin' ? 'open' : 'xdg-open', url];
  const child = spawn(command, args, { stdio: 'ignore', detached: true });
  child.on('error', () =>
    process.stderr.write('The browser could not be opened; open the address yourself.\n'),
  );
  child.unref();
}

/** A line that is typed without being shown; of a pipe its first line. */
async function readSecret(prompt: string): Promise<string> {
  const isTerminal = process.stdin.isTTY === true;
  let isSilent = false;
  const output = new Writable({
    write: (chunk, _, done) => {
      if (!isSilent) process.stderr.write(chunk as Buffer);
      done();
    },
  });
  const lines = createInterface({ input: process.stdin, output, terminal: isTerminal });
  try {
    if (!isTerminal) {
      for await (const line of lines) return line;
      return '';
    }
    const answer = lines.question(prompt);
    isSilent = true;
    return await answer;
  } finally {
    lines.close();
    if (isTerminal) process.stderr.write('\n');
  }
}

/** How long a folder may keep the address from being printed [ms]. */
const patience = 2000;

/**
 * The first board takes threads to start and files to be read; asked for before the address is printed, it is there at once for whoever opens it. What it
 * says is nobody's concern yet.
 */
async function askFirst(url: string, token: string): Promise<void> {
  await fetch(new URL('/api/board', url), {
    headers: { authorization: `Bearer ${token}` },
    signal: AbortSignal.timeout(patience),
  }).catch(() => {});
}
