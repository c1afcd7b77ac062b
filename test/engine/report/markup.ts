/** A small reader of the markup that the report writes: enough to see whether it is well formed. */
export interface Element {
  readonly tag: string;
  readonly attributes: Readonly<Record<string, string>>;
}

const withoutEnd = new Set(['meta', 'br', 'link', 'img', 'input', 'hr']);

/** All elements in order. Throws where tags do not balance, an attribute is unquoted or a bare `<` or `&` stands in text. */
export function readMarkup(html: string): Element[] {
  const text = html.replace(/^<!doctype html>/i, '').replace(/<style>[^<]*<\/style>/g, '');
  const elements: Element[] = [];
  const open: string[] = [];
  let rest = text;
  while (rest.length > 0) {
    const content = /^[^<]*/.exec(rest)?.[0] ?? '';
    const bare = /&(?!(?:amp|lt|gt|quot|#39);)/.exec(content);
    if (bare) throw new Error(`bare & in "${content.slice(0, 80)}"`);
    rest = rest.slice(content.length);
    if (rest === '') break;
    const tag = /^<(\/?)([a-zA-Z][a-zA-Z0-9]*)((?:\s+[a-zA-Z][a-zA-Z0-9:-]*(?:="[^"<]*")?)*)\s*(\/?)>/.exec(
      rest,
    );
    if (!tag) throw new Error(`not a tag: ${rest.slice(0, 80)}`);
    const [whole, slash, name = '', attributes = '', selfClosing] = tag;
    rest = rest.slice(whole.length);
    if (slash) {
      const expected = open.pop();
      if (expected !== name) throw new Error(`</${name}> where </${expected}> was due`);
      continue;
    }
    const pairs = [...attributes.matchAll(/([a-zA-Z][a-zA-Z0-9:-]*)(?:="([^"]*)")?/g)];
    elements.push({ tag: name, attributes: Object.fromEntries(pairs.map((p) => [p[1] ?? '', p[2] ?? ''])) });
    if (!selfClosing && !withoutEnd.has(name)) open.push(name);
  }
  if (open.length > 0) throw new Error(`never closed: ${open.join(', ')}`);
  return elements;
}

/** Numbers of a path or of geometry attributes. */
export const geometryOf = (e: Element): string =>
  ['d', 'x', 'y', 'width', 'height', 'viewBox'].map((k) => e.attributes[k] ?? '').join(' ');
