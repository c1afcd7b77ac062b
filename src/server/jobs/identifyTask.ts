import type { FitTrace } from '../../engine/identify/identification.js';
import { identify } from '../../engine/identify/identify.js';
import { type DriveDocument, toDrive } from '../../engine/project/drive.js';
import { toIdentificationDocument } from '../../engine/project/identification.js';
import { mapChannels } from '../../engine/recording/mapChannels.js';
import type { Recording } from '../../engine/recording/recording.js';
import { readDriveDocument } from '../../node/documents/readDrive.js';
import { confinePath } from '../../node/files/confinePath.js';
import { readRecordingTable } from '../../node/store/readRecordingTable.js';
import type { FitTraceDocument, IdentifyResultDocument, Progress, Tasks } from './tasks.js';

/** The recording that was identified last: taking a stretch out does not read it again. */
let last:
  | { readonly key: string; readonly recording: Recording; readonly driveDocument: DriveDocument }
  | undefined;

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
  const wanted = `${key} ${flip}`;
  if (last?.key !== wanted) {
    last = undefined;
    const driveDocument = await readDriveDocument(await confinePath(folder, driveFile));
    const table = await readRecordingTable(await confinePath(folder, file));
    const recording = mapChannels(table, toDrive(driveDocument), { ...table.stated, flipTorque: flip });
    last = { key: wanted, recording, driveDocument };
  }
  const { recording, driveDocument } = last;
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
