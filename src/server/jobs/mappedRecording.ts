import { type DriveDocument, toDrive } from '../../engine/project/drive.js';
import { mapChannels } from '../../engine/recording/mapChannels.js';
import type { Recording } from '../../engine/recording/recording.js';
import { confinePath } from '../../node/files/confinePath.js';
import { readRecordingTable } from '../../node/store/readRecordingTable.js';

/** The recording that this thread read last: another option of the same work does not read it again. */
let last: { readonly key: string; readonly recording: Recording } | undefined;

export interface Wanted {
  readonly folder: string;
  /** Path from the folder. */
  readonly file: string;
  /** Of the recording and what stands beside it: equal keys are read once. */
  readonly key: string;
  /** Turns the sign of the torque. */
  readonly flip: boolean;
}

/**
 * A recording of the folder with its channels in SI at the motor.
 * @throws TautlineError as readRecordingTable and mapChannels
 */
export async function mappedRecording(
  { folder, file, key, flip }: Wanted,
  drive: DriveDocument,
): Promise<Recording> {
  const wanted = `${key} ${flip} ${JSON.stringify(drive)}`;
  if (last?.key === wanted) return last.recording;
  last = undefined;
  const table = await readRecordingTable(await confinePath(folder, file));
  const recording = mapChannels(table, toDrive(drive), { ...table.stated, flipTorque: flip });
  last = { key: wanted, recording };
  return recording;
}
