import { createHash } from 'node:crypto';
import { once } from 'node:events';
import { Worker } from 'node:worker_threads';

/** SHA-256 of bytes that come in pieces. */
export interface Hasher {
  /** Takes the next piece; it must stay unchanged until the promise resolves. */
  update(piece: Uint8Array): Promise<void>;
  /** @returns the checksum in hex. */
  digest(): Promise<string>;
  /** Ends the thread, if there is one; safe to call at any time. */
  close(): Promise<void>;
}

/** In this thread: no start-up cost, for small files. */
export function hashHere(): Hasher {
  const hash = createHash('sha256');
  return {
    update: async (piece) => void hash.update(piece),
    digest: async () => hash.digest('hex'),
    close: async () => {},
  };
}

// Given as text, not as a file, so that it runs the same from the built package and from the sources under test.
const workerCode = `
const { parentPort } = require('node:worker_threads');
const hash = require('node:crypto').createHash('sha256');
parentPort.on('message', (piece) => {
  if (piece === 'digest') parentPort.postMessage(hash.digest('hex'));
  else {
    hash.update(piece);
    parentPort.postMessage('done');
  }
});`;

/**
 * In a thread of its own, so that a second core takes the checksum of a large file while the first reads its numbers.
 * Pieces must lie in shared memory: they are handed over without a copy.
 */
export function hashInThread(): Hasher {
  const worker = new Worker(workerCode, { eval: true });
  const waiting: { resolve: (answer: string) => void; reject: (e: Error) => void }[] = [];
  worker.on('message', (answer: string) => waiting.shift()?.resolve(answer));
  worker.on('error', (e) => {
    for (const w of waiting.splice(0)) w.reject(e);
  });
  const ask = (message: unknown): Promise<string> =>
    new Promise((resolve, reject) => {
      waiting.push({ resolve, reject });
      worker.postMessage(message);
    });
  return {
    update: async (piece) => void (await ask(piece)),
    digest: () => ask('digest'),
    close: async () => {
      const exit = once(worker, 'exit');
      await worker.terminate();
      await exit;
    },
  };
}
