import type { FitTrace } from '../../engine/identify/identification.js';
import { identify } from '../../engine/identify/identify.js';
import { toDrive } from '../../engine/project/drive.js';
import { toIdentificationDocument } from '../../engine/project/identification.js';
import { readDriveDocument } from '../../node/documents/readDrive.js';
import { confinePath } from '../../node/files/confinePath.js';
import { mappedRecording } from './mappedRecording.js';
import type { FitTraceDocument, IdentifyResultDocument, Progress, Tasks } from './tasks.js';

/**
 * Identifies a drive from a recording of the folder. Only reads, so it may be ended at any moment.
 * @throws TautlineError as the command `identify`; argument_invalid for a range of time that is none
 */
export async function identifyTask(
  { folder, file, driveFile, key, options }: Tasks['identify']['input'],
  onProgress: (progress: Progress) => void,
): Promise<IdentifyResultDocument> {
  onProgress({ done: 0, total: 2, words: 'reading the recording' });
  const flip = options.flipTorque === true;
  const driveDocument = await readDriveDocument(await confinePath(folder, driveFile));
  const recording = await mappedRecording({ folder, file, key, flip }, driveDocument);
  onProgress({ done: 1, total: 2, words: 'identifying' });
  const { exclude, include, compensateDelay } = options;
  const result = identify(recording, toDrive(driveDocument), { exclude, include, compensateDelay });
  const document = toIdentificationDocument(result, driveDocument);
  const trace = result.trace && traceOut(result.trace);
  return { document, ...(trace && { trace }) };
}

const plainNumbers = (values: Float64Array): (number | null)[] =>
  Array.from(values, (v) => (Number.isFinite(v) ? Number(v.toPrecision(7)) : null));

const traceOut = (t: FitTrace): FitTraceDocument => ({
  time_s: plainNumbers(t.time),
  speed_rad_per_s: plainNumbers(t.speed),
  torque_Nm: plainNumbers(t.torque),
  torqueFitted_Nm: plainNumbers(t.torqueFitted),
});
