import type { Identification } from '../../src/engine/identify/identification.js';
import { identify } from '../../src/engine/identify/identify.js';
import type { Drive } from '../../src/engine/line/drive.js';
import { type DriveDocument, toDrive } from '../../src/engine/project/drive.js';
import { mapChannels } from '../../src/engine/recording/mapChannels.js';
import type { RawTable, Recording } from '../../src/engine/recording/recording.js';
import { makePlant, type Plant, type PlantKind } from './plant/plant.js';

/** The columns of a plant as a parsed table, as if they had been read from a file. */
export function plantTable(plant: Plant): RawTable {
  const rows = plant.columns[0].values.length;
  return {
    columns: plant.columns.map((c) => ({
      header: c.header,
      unit: c.unit === '' ? undefined : c.unit,
      kind: 'number' as const,
      values: c.values,
      blankCells: 0,
      textCells: 0,
    })),
    rows,
    findings: [],
    source: { file: `${plant.kind}-${plant.seed}.csv`, sha256: '', rows },
  };
}

export interface Run {
  readonly plant: Plant;
  readonly drive: Drive;
  readonly recording: Recording;
  readonly identification: Identification;
}

/** One plant, recorded, mapped by header and unit, and identified, as the command line would. */
export function runPlant(kind: PlantKind, seed: number): Run {
  const plant = makePlant(kind, seed);
  const drive = toDrive(plant.drive as DriveDocument);
  const recording = mapChannels(plantTable(plant), drive);
  return { plant, drive, recording, identification: identify(recording, drive) };
}
