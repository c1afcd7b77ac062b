/**
 * True for a code point that must not reach a document: control characters that XML forbids, lone surrogates, and
 * the bidirectional overrides with which a column header could turn the text after it round.
 */
function isUnprintable(code: number): boolean {
  return (
    (code < 0x20 && code !== 0x09 && code !== 0x0a && code !== 0x0d) ||
    (code >= 0x7f && code <= 0x9f) ||
    (code >= 0xd800 && code <= 0xdfff) ||
    (code >= 0x202a && code <= 0x202e) ||
    (code >= 0x2066 && code <= 0x2069) ||
    code === 0xfffe ||
    code === 0xffff
  );
}

const entities: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/**
 * Text made safe between tags and inside quoted attributes of HTML and SVG. Every string of a report tree passes
 * here exactly once: names, headers and file names come from outside. Unprintable characters become U+FFFD.
 */
export function escapeMarkup(text: string): string {
  let out = '';
  for (const character of text) {
    out += isUnprintable(character.codePointAt(0) ?? 0) ? '\ufffd' : (entities[character] ?? character);
  }
  return out;
}

/** An identifier for anchors and SVG references: ASCII letters, digits and hyphens only, starting with a letter. */
export function slug(text: string): string {
  const body = text
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '');
  return /^[a-z]/.test(body) ? body : `x-${body}`.replace(/-$/, '');
}
