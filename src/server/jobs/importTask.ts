import { readDrive } from '../../node/documents/readDrive.js';
import { confinePath } from '../../node/files/confinePath.js';
import { importRecording } from '../../node/store/importRecording.js';
import { textOptionsOf } from './propose.js';
import type { ImportResultDocument, Progress, Tasks } from './tasks.js';

/**
 * Takes an upload into the folder as a recording. @param check throws when the task is to stop
 * @throws TautlineError as importRecording
 */
export async function importTask(
  { folder, file, name, imported, notes, driveFile, statements }: Tasks['importRecording']['input'],
  onProgress: (progress: Progress) => void,
  check: () => void,
): Promise<ImportResultDocument> {
  const { channels, units, sampleInterval } = statements;
  const { written, document, findings } = await importRecording(file, folder, {
    imported,
    name,
    notes,
    map: { channels, units, sampleInterval },
    ...(driveFile !== undefined && { drive: await readDrive(await confinePath(folder, driveFile)) }),
    text: {
      ...textOptionsOf(statements),
      onProgress: (done, total) => {
        check();
        onProgress({ done, total, words: 'reading the file' });
      },
    },
  });
  return {
    verdict: written === undefined ? 'refused' : 'imported',
    ...(written && { written, name: written.data.replace(/^.*\/|\.parquet$/g, '') }),
    document,
    findings,
  };
}
