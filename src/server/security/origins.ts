import { hostname, networkInterfaces } from 'node:os';

const isWildcard = (host: string): boolean => host === '0.0.0.0' || host === '::';

/** Is the server only for this machine? */
export const isLoopback = (host: string): boolean =>
  host === 'localhost' || host === '::1' || /^127(\.\d{1,3}){3}$/.test(host);

/** A host as it stands in an address. */
export const inAddress = (host: string): string => (host.includes(':') ? `[${host}]` : host);

/**
 * The Host headers under which this server may be asked, in lower case. Any other is refused: a foreign page can make its own name point here (DNS
 * rebinding), but it cannot make the browser send one of these. Where all interfaces are listened at, their addresses and the machine's name count.
 */
export function ownHosts(host: string, port: number): ReadonlySet<string> {
  const names = ['127.0.0.1', 'localhost', '::1'];
  if (isWildcard(host)) {
    names.push(hostname());
    for (const addresses of Object.values(networkInterfaces()))
      for (const { address } of addresses ?? []) names.push(address);
  } else names.push(host);
  return new Set(names.map((name) => `${inAddress(name)}:${port}`.toLowerCase()));
}

/** Is an Origin header that of the page that this server itself sent under this Host header? */
export const isOwnOrigin = (origin: string, host: string, scheme: 'http' | 'https'): boolean =>
  origin.toLowerCase() === `${scheme}://${host}`.toLowerCase() ||
  // the standard port is left out in an origin
  `${origin.toLowerCase()}:${scheme === 'https' ? 443 : 80}` === `${scheme}://${host}`.toLowerCase();
