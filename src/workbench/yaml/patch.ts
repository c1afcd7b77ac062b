import { type Document, isAlias, isMap, isScalar, parseDocument } from 'yaml';

/** A place in a document: keys of maps and indices of lists. */
export type Path = readonly (string | number)[];

/** What is put into a text: a scalar, or a map that is written in one line. */
export type Value = number | string | boolean | { readonly [key: string]: unknown };

/** A pointer as findings state it: sections.3.drum */
export const pathOf = (pointer: string): Path =>
  pointer === '' ? [] : pointer.split('.').map((key) => (/^\d+$/.test(key) ? Number(key) : key));

const parse = (text: string): Document =>
  parseDocument(text, { keepSourceTokens: true, prettyErrors: false });

/**
 * A text with the values at some places replaced, and nothing else: comments, order, quotes and spacing of the rest stay to the byte. A place
 * that is not there yet is added to its map, in the way in which the map is written. @throws Error when a place cannot be: its map is not there
 */
export function setValues(text: string, edits: readonly (readonly [path: Path, value: Value])[]): string {
  let out = text;
  for (const [path, value] of edits) out = setValue(out, path, value);
  return out;
}

function setValue(text: string, path: Path, value: Value): string {
  const document = parse(text);
  const node = document.getIn(path, true);
  // only what stands here itself: a value that is shared by an anchor or alias also belongs to others
  if (isScalar(node) && node.range && !node.anchor) {
    const [from, to] = node.range;
    return text.slice(0, from) + written(value) + text.slice(to);
  }
  const above = document.getIn(path.slice(0, -1), true);
  if (!isMap(above) && path.length > 1 && !isAlias(node))
    throw new Error(`there is no ${path.slice(0, -1).join('.')}`);
  if (isMap(above) && above.flow && above.range && !document.hasIn(path)) {
    const end = text.lastIndexOf('}', above.range[1] - 1);
    const before = text.slice(0, end).trimEnd();
    const comma = before.endsWith('{') || before.endsWith(',') ? ' ' : ', ';
    return `${before}${comma}${String(path.at(-1))}: ${written(value)} ${text.slice(end)}`;
  }
  if (isMap(above) && !above.flow && above.items.length > 0 && !document.hasIn(path))
    return insertLine(text, above, `${String(path.at(-1))}: ${written(value)}`);
  document.setIn(path, value);
  return print(document);
}

/** A line behind the last key of a block map, at its indent; a comment at the end of that line stays with it. */
function insertLine(
  text: string,
  map: { items: readonly { key: unknown }[]; range?: readonly [number, number, number] | null },
  line: string,
): string {
  const key = map.items[0]?.key;
  const start = isScalar(key) ? (key.range?.[0] ?? 0) : 0;
  const column = start - (text.lastIndexOf('\n', start - 1) + 1);
  const valueEnd = map.range?.[1] ?? text.length;
  // the value may end behind its line break
  const last = text.slice(0, valueEnd).trimEnd().length;
  const end = text.indexOf('\n', last);
  const at = end === -1 ? text.length : end;
  return `${text.slice(0, at)}\n${' '.repeat(column)}${line}${text.slice(at)}`;
}

/** A value in place of another of any shape, comments elsewhere kept; the text as a whole may be laid out anew. */
export function replaceNode(text: string, path: Path, value: unknown, isFlow = true): string {
  const document = parse(text);
  const node = document.createNode(value, { flow: isFlow });
  const old = document.getIn(path, true) as
    | { range?: [number, number, number] | null; anchor?: string }
    | undefined;
  if (isFlow && old?.range && !old.anchor) {
    // written on its own it goes into the place of the old one, and the rest stays to the byte
    const kept = text.slice(0, old.range[0]);
    const [, to] = old.range;
    const end = text.slice(0, to).trimEnd().length;
    const joint =
      kept.trimEnd().endsWith(':') && kept.endsWith('\n') ? `${kept.trimEnd()} ` : trimBlock(kept);
    return joint + inOneLine(node) + text.slice(Math.max(end, old.range[0]));
  }
  document.setIn(path, node);
  return print(document);
}

/** A node as it is written behind its key. */
function inOneLine(node: unknown): string {
  const own = parseDocument('x: y');
  own.set('x', node);
  return print(own)
    .replace(/^x:\s*/, '')
    .trimEnd();
}

/** A block value begins on the line below its key: written in flow it moves up to it. */
const trimBlock = (kept: string): string => (/:[ \t]*\n[ \t]*$/.test(kept) ? `${kept.trimEnd()} ` : kept);

/** Takes a key or a list item out, with its own comment. */
export function removeNode(text: string, path: Path): string {
  const document = parse(text);
  document.deleteIn(path);
  return print(document);
}

/** Puts an item into a list. */
export function insertItem(text: string, path: Path, index: number, value: unknown): string {
  const document = parse(text);
  const list = document.getIn(path) as { items: unknown[] };
  list.items.splice(index, 0, document.createNode(value, { flow: true }));
  return print(document);
}

const print = (document: Document): string =>
  document.toString({ lineWidth: 0, flowCollectionPadding: true });

/** A value as YAML reads it back. Numbers have no digits that mean nothing. */
function written(value: Value): string {
  if (typeof value === 'object') return inOneLine(parseDocument('').createNode(value, { flow: true }));
  if (typeof value !== 'string') return String(value);
  const bare = /^[A-Za-z][\w -]*$/.test(value) && !/^(true|false|null|yes|no|on|off)$/i.test(value);
  return bare ? value : JSON.stringify(value);
}

/** The plain data of a text, as it is written: units as stated. */
export const dataOf = (text: string): unknown => parseDocument(text).toJS({ maxAliasCount: 50 });
