import { type ReactNode, useState } from 'react';

export interface Column<Row> {
  readonly name: string;
  readonly unit?: string;
  readonly isNumber?: boolean;
  readonly text: (row: Row) => string;
  /** What is shown, when it is more than the text. */
  readonly cell?: (row: Row) => ReactNode;
}

/** Rows as tab-separated text with a header, as spreadsheets take them. */
export function toTsv<Row>(columns: readonly Column<Row>[], rows: readonly Row[]): string {
  const clean = (text: string): string => text.replace(/[\t\r\n]+/g, ' ');
  const head = columns.map((c) =>
    clean(c.unit === undefined || c.unit === '' ? c.name : `${c.name} [${c.unit}]`),
  );
  return [head, ...rows.map((row) => columns.map((c) => clean(c.text(row))))]
    .map((line) => line.join('\t'))
    .join('\n');
}

/** A button that copies text and says so. */
export function CopyButton({
  text,
  words,
}: {
  readonly text: () => string;
  readonly words: string;
}): ReactNode {
  const [said, setSaid] = useState<string>();
  const copy = async (): Promise<void> => {
    try {
      await navigator.clipboard.writeText(text());
      setSaid('Copied');
    } catch {
      setSaid('The browser does not allow copying');
    }
    setTimeout(() => setSaid(undefined), 2500);
  };
  return (
    <button type="button" className="quiet" onClick={() => void copy()}>
      <span aria-live="polite">{said ?? words}</span>
    </button>
  );
}

/** A table that copies as tab-separated text. */
export function DataTable<Row>({
  caption,
  columns,
  rows,
  rowKey,
}: {
  readonly caption: string;
  readonly columns: readonly Column<Row>[];
  readonly rows: readonly Row[];
  readonly rowKey: (row: Row, index: number) => string;
}): ReactNode {
  return (
    <section className="scroll" tabIndex={0} aria-label={caption}>
      <table>
        <caption>
          {caption} <CopyButton text={() => toTsv(columns, rows)} words="Copy as table" />
        </caption>
        <thead>
          <tr>
            {columns.map((c) => (
              <th key={c.name} scope="col" className={c.isNumber ? 'number' : undefined}>
                {c.name}
                {c.unit !== undefined && c.unit !== '' && <span className="unit"> {c.unit}</span>}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row, k) => (
            <tr key={rowKey(row, k)}>
              {columns.map((c) => (
                <td key={c.name} className={c.isNumber ? 'number' : undefined}>
                  {c.cell?.(row) ?? c.text(row)}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
