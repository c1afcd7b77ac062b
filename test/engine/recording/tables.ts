import type { Drive } from '../../../src/engine/line/drive.js';
import type { RawColumn, RawTable } from '../../../src/engine/recording/recording.js';

export function column(
  header: string,
  unit: string | undefined,
  values: ArrayLike<number>,
  more: Partial<RawColumn> = {},
): RawColumn {
  const data = Float64Array.from(values);
  return {
    header,
    unit,
    kind: 'number',
    values: data,
    blankCells: data.filter(Number.isNaN).length,
    textCells: 0,
    ...more,
  };
}

export const table = (...columns: RawColumn[]): RawTable => ({
  columns,
  rows: columns[0].values.length,
  findings: [],
  source: { file: 'invented.csv', sha256: '', rows: columns[0].values.length },
});

/** Invented drive: 15 N·m rated, gear 2.5, roller of 0.2 m diameter, web of 1.6 m. */
export const drive: Drive = {
  name: 'helper 3',
  element: 'driven-idler',
  ratedTorque: 15,
  gearRatio: 2.5,
  rollerRadius: 0.1,
  web: { width: 1.6 },
};

export const ramp = (n: number, f: (i: number) => number = (i) => i): number[] =>
  Array.from({ length: n }, (_, i) => f(i));
export const time = (n = 50): RawColumn =>
  column(
    'time [s]',
    's',
    ramp(n, (i) => i * 0.01),
  );
