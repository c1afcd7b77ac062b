import type { Dialect } from '../../engine/recording/recording.js';
import { CR, LF, QUOTE } from './bytes.js';
import { decodeCell, type Encoding } from './encoding.js';

export type Separator = Dialect['separator'];

/** A line of the head of a file, split into cells; a quoted cell may hold line ends, so a record can span lines. */
export interface HeadRecord {
  /** Line on which it starts, from 1. */
  readonly line: number;
  readonly cells: readonly string[];
  /** Byte after its line end. */
  readonly end: number;
  /** Line number after its line end. */
  readonly nextLine: number;
}

/** A quoted cell this long [bytes] is not one that the head just cuts off. */
const farFromEnd = 65536;

/**
 * Splits the head of a file into at most `limit` records. A record that the head cuts off is left out, unless the head is the
 * complete file.
 */
export function splitRecords(
  head: Uint8Array,
  separator: Separator,
  encoding: Encoding,
  complete: boolean,
  limit: number,
): HeadRecord[] {
  const sep = separator.charCodeAt(0);
  const records: HeadRecord[] = [];
  let cells: string[] = [];
  let cellFrom = 0;
  let quoted = false;
  let line = 1;
  let startLine = 1;
  const endCell = (p: number): void => {
    cells.push(cellText(head.subarray(cellFrom, p), encoding));
    cellFrom = p + 1;
  };
  let recordFrom = 0;
  let literalQuotes = false;
  for (let p = 0; records.length < limit; p++) {
    if (p >= head.length) {
      if (!quoted || !(complete || head.length - recordFrom > farFromEnd)) break;
      // a quotation mark that is never closed, as in a title: read the record again with the mark as a sign like any other
      p = cellFrom = recordFrom;
      cells = [];
      line = startLine;
      quoted = false;
      literalQuotes = true;
    }
    const b = head[p]!;
    if (b === QUOTE && !literalQuotes) {
      if (quoted) {
        if (head[p + 1] === QUOTE) p++;
        else quoted = false;
      } else if (p === cellFrom) quoted = true;
    } else if (b === sep && !quoted) {
      endCell(p);
    } else if (b === LF || b === CR) {
      if (b === CR && head[p + 1] === LF) {
        if (!quoted) endCell(p);
        p++;
      } else if (!quoted) endCell(p);
      line++;
      if (!quoted) {
        // a CR at the very end of a cut head may be half of a CRLF
        if (!complete && p + 1 === head.length && b === CR) return records;
        records.push({ line: startLine, cells, end: p + 1, nextLine: line });
        cells = [];
        startLine = line;
        cellFrom = recordFrom = p + 1;
        literalQuotes = false;
      }
    }
  }
  if (complete && records.length < limit && (cells.length > 0 || cellFrom < head.length)) {
    endCell(head.length);
    records.push({ line: startLine, cells, end: head.length, nextLine: line });
  }
  return records;
}

/** Text of a cell: surrounding quotes removed, doubled quotes halved, blanks at the ends trimmed. */
export function cellText(bytes: Uint8Array, encoding: Encoding): string {
  const text = decodeCell(bytes, encoding).trim();
  if (text.length >= 2 && text.startsWith('"') && text.endsWith('"')) {
    return text.slice(1, -1).replaceAll('""', '"').trim();
  }
  return text;
}
