import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';

/** A secret that nobody guesses: 32 random bytes, base64url. */
export const newToken = (): string => randomBytes(32).toString('base64url');

/** Are two secrets equal? Takes the same time wherever they differ, and whatever their lengths. */
export function sameSecret(a: string, b: string): boolean {
  const digest = (text: string): Buffer => createHash('sha256').update(text).digest();
  return timingSafeEqual(digest(a), digest(b));
}

/** A working day: who logged in with the password is asked again after this [ms]. */
const lifetime = 12 * 3600 * 1000;

/** Who may ask the server: whoever holds the token of its start, or one that was given for the password. */
export class Sessions {
  private readonly given = new Map<string, number>();

  /** @param token of the start, printed in the address. */
  constructor(readonly token: string) {}

  /** A token for somebody who gave the right password. */
  give(now = Date.now()): string {
    for (const [token, until] of this.given) if (until < now) this.given.delete(token);
    const token = newToken();
    this.given.set(token, now + lifetime);
    return token;
  }

  isValid(token: string | undefined, now = Date.now()): boolean {
    if (token === undefined) return false;
    let found = sameSecret(token, this.token);
    // all are looked at, so that the time says nothing
    for (const [given, until] of this.given) found = (sameSecret(token, given) && until >= now) || found;
    return found;
  }
}

/** The value of a cookie in a Cookie header. */
export function cookieIn(header: string | undefined, name: string): string | undefined {
  for (const pair of (header ?? '').split(';')) {
    const at = pair.indexOf('=');
    if (at > 0 && pair.slice(0, at).trim() === name) return pair.slice(at + 1).trim();
  }
  return undefined;
}

/** The token of an Authorization header. */
export const bearerIn = (header: string | undefined): string | undefined =>
  /^Bearer ([A-Za-z0-9_-]{1,200})$/i.exec(header ?? '')?.[1];
