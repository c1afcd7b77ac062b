/** An INVENTED line of three drives with everything known, as the board reads it; tests take away or change one thing. */
import type { Identification } from '../../src/engine/identify/identification.js';
import type { BoardDocument, BoardRow } from '../../src/engine/project/board/boardDocument.js';
import type { BoardFile, BoardInput } from '../../src/engine/project/board/boardInput.js';
import type { DriveDocument } from '../../src/engine/project/drive.js';
import {
  type IdentificationDocument,
  toIdentificationDocument,
} from '../../src/engine/project/identification.js';
import type { LineDocument } from '../../src/engine/project/line/lineDocument.js';
import type { ProductDocument } from '../../src/engine/project/product/productDocument.js';
import { roller, type Stated, stated } from './statedIdentification.js';

const place = (x: number, diameter: number, turns: 'clockwise' | 'counter-clockwise') =>
  ({ centre_m: [x, turns === 'clockwise' ? 1.5 : 0.5], diameter_m: diameter, turns }) as const;

export const line: LineDocument = {
  schema: 'tautline/line@1',
  name: 'INVENTED line',
  invented: true,
  web_width_m: 1.6,
  speed: { top_m_per_s: 5, acceleration_m_per_s2: 0.25, stop_m_per_s2: 0.4 },
  sections: [
    {
      name: 'unwind',
      kind: 'unwind',
      ...place(0, 0.6, 'clockwise'),
      core_diameter_m: 0.1,
      full_diameter_m: 0.8,
      tension_N_per_m: 220,
    },
    { name: 'idler', kind: 'idler', ...place(2, 0.2, 'counter-clockwise') },
    { name: 'helper', kind: 'spreader', ...place(3, 0.2, 'clockwise'), drive: 'drives/spreader.yaml' },
    {
      name: 'puller',
      kind: 'pull-roll',
      ...place(4, 0.2, 'counter-clockwise'),
      tension_N_per_m: 225,
      drive: './drives/puller.yaml',
    },
    {
      name: 'dryer',
      kind: 'dryer',
      ...place(5, 0.2, 'clockwise'),
      tension_N_per_m: 230,
      drive: 'drives/dryer.yaml',
    },
  ],
};

export const driveDocument = (name: string, element: DriveDocument['element']): DriveDocument => ({
  schema: 'tautline/drive@1',
  name,
  element,
  rated_torque_Nm: 20,
  gear_ratio: 2.5,
  gear_efficiency: 0.95,
  gear_inertia_kgm2: 0.0001,
  motor_inertia_kgm2: 0.005,
  roller_diameter_m: 0.2,
  roller_width_m: 1.8,
  max_motor_speed_rad_per_s: 150,
  torque_limit_percent: 150,
});

const elements = { spreader: 'spreader', puller: 'pull-roll', dryer: 'dryer' } as const;
export type DriveName = keyof typeof elements;
export const drives = Object.fromEntries(
  Object.entries(elements).map(([name, element]) => [name, driveDocument(name, element)]),
) as Record<DriveName, DriveDocument>;

export const product: ProductDocument = {
  schema: 'tautline/product@1',
  name: 'INVENTED product',
  web: { width_m: 1.6, caliper_m: 1e-4, density_kgm3: 800 },
  unwind: { core_diameter_m: 0.1, full_diameter_m: 0.8, tension: { law: 'constant', start_N_per_m: 220 } },
};

/** A checksum that says which bytes are meant. */
export const sha = (of: string): string => Buffer.from(of).toString('hex').padEnd(64, '0').slice(0, 64);

export function result(
  name: DriveName,
  visit: string,
  more: Partial<Identification> = {},
  values: Stated = roller,
): IdentificationDocument {
  const file = `${name}.${visit}.csv`;
  const base = { driveName: name, inputs: { file, sha256: sha(file), rows: 100 }, ...more };
  return toIdentificationDocument(stated(values, base), drives[name]);
}

export const recording = (file: string): BoardInput['recordings'][number] => ({
  file,
  sha256: sha(file.replace(/^.*\//, '')),
});

export const file = <T>(path: string, document: T): BoardFile<T> => ({ file: path, document });

export const broken = (
  path: string,
  line_ = 3,
): { file: string; problem: Extract<BoardFile<unknown>, { problem: unknown }>['problem'] } => ({
  file: path,
  problem: {
    code: 'document_syntax',
    message: `${path} is no valid document`,
    where: { file: path, line: line_ },
    next: 'correct this line',
  },
});

/** Everything recorded, identified and placed. */
export const complete = (): BoardInput => ({
  line: file('line.yaml', line),
  drives: Object.entries(drives).map(([name, d]) => file(`drives/${name}.yaml`, d)),
  products: [file('products/invented.yaml', product)],
  identifications: Object.keys(drives).map((name) =>
    file(`identifications/${name}.as-found.json`, result(name as DriveName, 'as-found')),
  ),
  recordings: Object.keys(drives).map((name) => recording(`exports/${name}.as-found.csv`)),
});

/** An input without the results and recordings of one drive. */
export const without = (input: BoardInput, name: DriveName): BoardInput => ({
  ...input,
  identifications: input.identifications.filter((f) => !f.file.includes(`${name}.`)),
  recordings: input.recordings.filter((f) => !f.file.includes(`${name}.`)),
});

export function rowOf(document: BoardDocument, name: string): BoardRow {
  const row = document.rows.find((r) => r.name === name);
  if (row === undefined) throw new Error(`no row ${name}`);
  return row;
}
