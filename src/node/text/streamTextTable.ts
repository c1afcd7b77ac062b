import { basename } from 'node:path';
import type { Finding } from '../../engine/findings.js';
import type { Dialect, RawColumn, Source } from '../../engine/recording/recording.js';
import { ColumnReader } from './columnReader.js';
import { detectDialect, type Layout } from './dialect.js';
import { detectEncoding, type Encoding, markLength, transcoder } from './encoding.js';
import { FileReader } from './file.js';
import { emptyFile, layoutFindings, noRows, thousandsFindings } from './findings.js';
import { CellKind, type OutputColumn, type Plan, planColumns } from './plan.js';
import { decimalByte, lineTooLong, notText, Scanner } from './scan.js';

export interface TextOptions {
  /** What the user states about the text; the rest is detected. */
  readonly dialect?: Partial<Dialect>;
  /** Line of the header, from 1; short for `dialect.titleLines` = line - 1 with a header. */
  readonly headerRow?: number;
  /** Which columns to hand over, by header and place in the table; all of them by default. Every row is checked whole either way. */
  readonly columns?: (header: string, index: number) => boolean;
  /** Called now and then with the bytes read so far and in all. */
  readonly onProgress?: (bytes: number, of: number) => void;
  /** A longer line is refused; 1 MiB by default. */
  readonly maxBytesPerLine?: number;
  /** Rows a batch; 65,536 by default. Fewer in a table of very many columns, so that memory stays bounded. */
  readonly batchRows?: number;
  /** Bytes a read; 1 MiB by default. */
  readonly chunkBytes?: number;
}

/** Rows that follow each other. The arrays are used again for the next batch: copy what is to be kept. */
export interface TextBatch {
  readonly columns: readonly { readonly header: string; readonly unit: string | undefined }[];
  readonly firstRow: number;
  readonly rows: number;
  /** Rows of the whole table, estimated from the bytes read so far. */
  readonly expectedRows: number;
  /** One array of `rows` values a column. */
  readonly values: readonly Float64Array[];
}

/** What is known about the table once all of it has been read. */
export interface TextSummary {
  readonly columns: readonly Omit<RawColumn, 'values'>[];
  readonly rows: number;
  readonly dialect: Dialect;
  readonly findings: readonly Finding[];
  readonly source: Source;
}

const headBytes = 256 * 1024;
const headLines = 64;
/** Most values a batch holds: 32 MB. */
const batchCells = 2 ** 22;

/**
 * Reads a delimited text file once, front to back, and hands it over in batches of typed columns; memory does not grow with the file.
 * The next read is under way while a batch is worked on. A file without rows gives no batch and a finding (`empty_file`, `no_rows`).
 * @throws TautlineError file_not_found, file_unreadable, file_changed, file_not_text, line_too_long, dialect_unclear
 */
export async function streamTextTable(
  path: string,
  options: TextOptions,
  onBatch: (batch: TextBatch) => void | Promise<void>,
): Promise<TextSummary> {
  const reader = await FileReader.open(path);
  try {
    return await new TextImport(path, reader, options, onBatch).run();
  } finally {
    await reader.close();
  }
}

class TextImport {
  private readonly file: string;
  private readonly maxBytesPerLine: number;
  private readonly stated: Partial<Dialect>;
  private layout: Layout | undefined;
  private plan: Plan | undefined;
  private scanner: Scanner | undefined;
  private readers: ColumnReader[] = [];
  private kept: OutputColumn[] = [];
  private rows = 0;

  constructor(
    path: string,
    private readonly reader: FileReader,
    private readonly options: TextOptions,
    private readonly onBatch: (batch: TextBatch) => void | Promise<void>,
  ) {
    this.file = basename(path);
    this.maxBytesPerLine = options.maxBytesPerLine ?? 1024 * 1024;
    this.stated =
      options.headerRow === undefined
        ? (options.dialect ?? {})
        : { ...options.dialect, titleLines: options.headerRow - 1, hasHeader: true };
  }

  async run(): Promise<TextSummary> {
    let encoding = this.stated.encoding;
    let decode: ((chunk: Uint8Array, last: boolean) => Uint8Array) | undefined;
    let head: Uint8Array = new Uint8Array(0);
    let raw: Uint8Array = new Uint8Array(0);
    let bytes = 0;
    for await (const chunk of this.reader.chunks(this.options.chunkBytes ?? 1024 * 1024)) {
      bytes += chunk.length;
      const complete = bytes >= this.reader.size;
      if (this.scanner) {
        await this.feed(decode!(chunk, complete), complete);
      } else {
        raw = joined(raw, chunk);
        if (!complete && raw.length < 4096) continue;
        encoding ??= this.encodingOf(raw, complete);
        decode ??= transcoder(encoding);
        head = joined(head, decode(raw, complete));
        raw = new Uint8Array(0);
        if (complete || this.enough(head)) await this.begin(head, encoding, complete);
      }
      this.options.onProgress?.(bytes, this.reader.size);
    }
    const sha256 = await this.reader.finish();
    return this.summary(sha256, encoding ?? 'utf-8');
  }

  private encodingOf(raw: Uint8Array, complete: boolean): Encoding {
    const encoding = detectEncoding(raw, complete);
    if (encoding === undefined) throw notText(this.file, lineOfZero(raw));
    return encoding;
  }

  /** Is the head long enough to find out the dialect: 256 KiB and 64 lines, or four lines of the greatest length? */
  private enough(head: Uint8Array): boolean {
    if (head.length < headBytes) return false;
    let lines = 0;
    let from = 0;
    for (let p = 0; p < head.length && lines < headLines; p++) {
      if (head[p] !== 10 && head[p] !== 13) continue;
      lines++;
      from = p + 1;
    }
    if (lines < headLines && head.length - from > this.maxBytesPerLine) {
      throw lineTooLong(this.file, lines + 1, this.maxBytesPerLine, head.subarray(from));
    }
    return lines >= headLines || head.length >= 4 * this.maxBytesPerLine;
  }

  private async begin(all: Uint8Array, encoding: Encoding, complete: boolean): Promise<void> {
    const head = all.subarray(markLength(all));
    if (complete && head.every((b) => b <= 32)) return;
    const windows = await this.lookAhead(encoding);
    const layout = detectDialect(head, encoding, complete, windows, this.stated, this.file);
    const plan = planColumns(layout);
    const decimal = layout.dialect.decimal;
    this.readers = plan.kinds.map((k, i) => new ColumnReader(k, plan.formats[i]!, decimal, encoding));
    const outputOf = new Int32Array(this.readers.length);
    plan.outputs.forEach((o, k) => {
      outputOf[o.from] = k;
      if (o.clockFrom !== undefined) outputOf[o.clockFrom] = k;
    });
    const columns = this.options.columns;
    this.kept = plan.outputs.filter((o, i) => columns?.(o.header, i) ?? true);
    this.layout = layout;
    this.plan = plan;
    this.scanner = new Scanner({
      file: this.file,
      separator: layout.dialect.separator.charCodeAt(0),
      decimal: decimalByte(decimal),
      encoding,
      readers: this.readers,
      outputOf,
      batchRows: Math.min(
        this.options.batchRows ?? 65536,
        Math.max(64, Math.floor(batchCells / plan.kinds.length)),
      ),
      firstLine: layout.dataLine,
      maxBytesPerLine: this.maxBytesPerLine,
    });
    await this.feed(head.subarray(layout.dataOffset), complete);
  }

  /** Short stretches from places further on in the file. */
  private async lookAhead(encoding: Encoding): Promise<Uint8Array[]> {
    const count = 16;
    const length = 4096;
    const windows: Uint8Array[] = [];
    if (this.reader.size < count * length) return windows;
    for (let w = 1; w <= count; w++) {
      // even, so that no UTF-16 character is cut
      const at = Math.floor(((this.reader.size - length) * w) / count / 2) * 2;
      windows.push(transcoder(encoding)(await this.reader.peek(at, length), true));
    }
    return windows;
  }

  private async feed(bytes: Uint8Array, last: boolean): Promise<void> {
    const scanner = this.scanner!;
    scanner.push(bytes);
    if (last) scanner.finish();
    while (scanner.scan()) await this.flush();
    if (last && scanner.rows > 0) await this.flush();
  }

  private async flush(): Promise<void> {
    const scanner = this.scanner!;
    const n = scanner.rows;
    const column = (c: number): Float64Array =>
      scanner.values.subarray(c * scanner.stride, c * scanner.stride + n);
    this.readers.forEach((r, c) => {
      if (r.kind === CellKind.clock) r.unwrap(column(c));
    });
    for (const o of this.kept) {
      if (o.clockFrom === undefined) continue;
      const date = column(o.from);
      const clock = column(o.clockFrom);
      for (let i = 0; i < n; i++) date[i] = date[i]! + clock[i]!;
    }
    scanner.rows = 0;
    const firstRow = this.rows;
    this.rows += n;
    const expectedRows = Math.ceil((this.rows * this.reader.size) / Math.max(1, scanner.bytesRead));
    await this.onBatch({
      columns: this.kept,
      firstRow,
      rows: n,
      expectedRows,
      values: this.kept.map((o) => column(o.from)),
    });
  }

  private summary(sha256: string, encoding: Encoding): TextSummary {
    const file = this.file;
    const columns = this.kept.map((o) => this.columnSummary(o));
    const dialect: Dialect = this.layout?.dialect ?? {
      encoding,
      separator: ',',
      decimal: '.',
      titleLines: 0,
      hasHeader: false,
      hasUnitRow: false,
    };
    const source = { file, sha256, rows: this.rows };
    return { columns, rows: this.rows, dialect, findings: this.findings(), source };
  }

  private columnSummary(o: OutputColumn): Omit<RawColumn, 'values'> {
    const r = this.readers[o.from]!;
    const clock = o.clockFrom === undefined ? undefined : this.readers[o.clockFrom]!;
    const firstText = [r.firstText, clock?.firstText]
      .filter((t) => t !== undefined)
      .sort((x, y) => x.line - y.line)[0];
    return {
      header: o.header,
      unit: o.unit,
      kind: r.finalKind(),
      ...(r.epoch !== undefined ? { epoch_s: r.epoch } : {}),
      blankCells: r.blankCells + (clock?.blankCells ?? 0),
      textCells: r.textCells + (clock?.textCells ?? 0),
      ...(firstText ? { firstText } : {}),
    };
  }

  private findings(): Finding[] {
    if (!this.layout || !this.plan || !this.scanner) return [emptyFile(this.file)];
    return [
      ...(this.rows === 0 ? [noRows(this.file, this.layout.dataLine)] : []),
      ...this.scanner.skipped.findings(this.file),
      ...layoutFindings(this.file, this.layout, this.plan),
      ...this.kept.flatMap((o) => thousandsFindings(this.file, o.header, this.readers[o.from]!)),
    ];
  }
}

/** Line of the first zero byte; 1 without any. */
function lineOfZero(bytes: Uint8Array): number {
  const before = bytes.subarray(0, Math.max(0, bytes.indexOf(0)));
  return 1 + before.reduce((n, b) => n + (b === 10 ? 1 : 0), 0);
}

function joined(a: Uint8Array, b: Uint8Array): Uint8Array {
  const out = new Uint8Array(a.length + b.length);
  out.set(a);
  out.set(b, a.length);
  return out;
}
