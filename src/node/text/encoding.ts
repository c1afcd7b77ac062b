import type { Dialect } from '../../engine/recording/recording.js';

export type Encoding = Dialect['encoding'];

/**
 * Encoding of a text from its first bytes: a byte order mark, else the pattern of zero bytes that UTF-16 leaves in ASCII text,
 * else UTF-8 when valid, else Latin-1 (read as Windows-1252, its superset in practice). `undefined`: not text.
 * @param complete the head is the whole file, so that a cut character at its end counts as invalid.
 */
export function detectEncoding(head: Uint8Array, complete: boolean): Encoding | undefined {
  if (head[0] === 0xff && head[1] === 0xfe) return 'utf-16le';
  if (head[0] === 0xfe && head[1] === 0xff) return 'utf-16be';
  const n = Math.min(head.length, 4096);
  let evenZeros = 0;
  let oddZeros = 0;
  for (let i = 0; i < n; i++) if (head[i] === 0) i % 2 === 0 ? evenZeros++ : oddZeros++;
  if (oddZeros > n / 8 && evenZeros === 0) return 'utf-16le';
  if (evenZeros > n / 8 && oddZeros === 0) return 'utf-16be';
  if (looksBinary(head)) return undefined;
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(head, { stream: !complete });
    return 'utf-8';
  } catch {
    return 'latin-1';
  }
}

/** A zero byte, or more than one control character in fifty, is not text. */
function looksBinary(bytes: Uint8Array): boolean {
  let control = 0;
  for (const b of bytes) {
    if (b === 0) return true;
    if (b < 32 && b !== 9 && b !== 10 && b !== 13 && b !== 12 && b !== 0x1a) control++;
  }
  return control > bytes.length / 50;
}

/** Turns chunks of the file into chunks whose ASCII characters are single bytes: UTF-16 becomes UTF-8, the rest passes through. */
export function transcoder(encoding: Encoding): (chunk: Uint8Array, last: boolean) => Uint8Array {
  if (encoding !== 'utf-16le' && encoding !== 'utf-16be') return (chunk) => chunk;
  const decoder = new TextDecoder(encoding, { ignoreBOM: true });
  const encoder = new TextEncoder();
  return (chunk, last) => encoder.encode(decoder.decode(chunk, { stream: !last }));
}

/** Length of the byte order mark at the start of transcoded text. */
export const markLength = (text: Uint8Array): number =>
  text[0] === 0xef && text[1] === 0xbb && text[2] === 0xbf ? 3 : 0;

const utf8 = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });
// Bytes 0x80 to 0x9f in Windows-1252 (WHATWG encoding index, from memory). Written out because TextDecoder('windows-1252') of
// Node 20 reads plain Latin-1.
const above80 = '€\x81‚ƒ„…†‡ˆ‰Š‹Œ\x8dŽ\x8f\x90‘’“”•–—˜™š›œ\x9džŸ';
const windows1252 = (bytes: Uint8Array): string =>
  Buffer.from(bytes)
    .toString('latin1')
    .replace(/[\x80-\x9f]/g, (c) => above80[c.charCodeAt(0) - 0x80]!);

/** Text of a cell. A stray byte that is not UTF-8 in a file that is shows as Windows-1252 instead of failing. */
export function decodeCell(bytes: Uint8Array, encoding: Encoding): string {
  if (encoding === 'latin-1') return windows1252(bytes);
  try {
    return utf8.decode(bytes);
  } catch {
    return windows1252(bytes);
  }
}
