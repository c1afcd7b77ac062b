import type { Dialect, Source } from '../engine/recording/recording.js';

const signNames: Record<Dialect['separator'], string> = {
  ',': 'comma',
  ';': 'semicolon',
  '\t': 'tab',
  '|': 'bar',
};

/** How a text was read, in one line. */
export function dialectText(source: Pick<Source, 'file' | 'rows'>, d: Dialect | undefined): string {
  if (d === undefined) return `${source.file}: ${source.rows} rows`;
  const parts = [
    `${source.rows} rows`,
    `${signNames[d.separator]} between cells`,
    `decimal ${d.decimal === ',' ? 'comma' : 'point'}`,
    d.encoding,
    d.hasHeader ? `headers in line ${d.titleLines + 1}` : 'no headers',
    ...(d.hasUnitRow ? ['units in a row of their own'] : []),
  ];
  return `${source.file}: ${parts.join(', ')}`;
}
