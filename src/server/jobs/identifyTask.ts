import type { FitTrace } from '../../engine/identify/identification.js';
import { identifyPrepared, type Prepared, prepareIdentification } from '../../engine/identify/identify.js';
import { toDrive } from '../../engine/project/drive.js';
import { toIdentificationDocument } from '../../engine/project/identification.js';
import { readDriveDocument } from '../../node/documents/readDrive.js';
import { confinePath } from '../../node/files/confinePath.js';
import { mappedRecording } from './mappedRecording.js';
import type { FitTraceDocument, IdentifyResultDocument, Progress, Tasks } from './tasks.js';

/** What this thread screened and cut into stretches last: taking one out or in starts from there. */
let last: { readonly key: string; readonly prepared: Prepared } | undefined;

/**
 * Identifies a drive from a recording of the folder. Only reads, so it may be ended at any moment.
 * @throws TautlineError as the command `identify`; argument_invalid for a range of time that is none
 */
export async function identifyTask(
  { folder, file, driveFile, key, options }: Tasks['identify']['input'],
  onProgress: (progress: Progress) => void,
): Promise<IdentifyResultDocument> {
  onProgress({ done: 0, total: 3, words: 'reading the recording' });
  const flip = options.flipTorque === true;
  const driveDocument = await readDriveDocument(await confinePath(folder, driveFile));
  const wanted = `${key} ${flip} ${JSON.stringify(driveDocument)}`;
  if (last?.key !== wanted) {
    last = undefined;
    const recording = await mappedRecording({ folder, file, key, flip }, driveDocument);
    onProgress({ done: 1, total: 3, words: 'finding plateaus and ramps' });
    last = { key: wanted, prepared: prepareIdentification(recording, toDrive(driveDocument)) };
  }
  onProgress({ done: 2, total: 3, words: 'fitting the drive model' });
  const { exclude, include, compensateDelay } = options;
  const result = identifyPrepared(last.prepared, { exclude, include, compensateDelay });
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
