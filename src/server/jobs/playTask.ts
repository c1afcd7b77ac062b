import { feedForward } from '../../engine/feedforward/feedForward.js';
import { playFeedForward } from '../../engine/feedforward/play.js';
import type { PlayedFeedForward } from '../../engine/feedforward/playTypes.js';
import { toDrive } from '../../engine/project/drive.js';
import { type PlayedDocument, toPlayedDocument } from '../../engine/project/feedforwardPlay.js';
import { fromIdentificationDocument } from '../../engine/project/identification.js';
import type { Source } from '../../engine/recording/recording.js';
import { readIdentification } from '../../node/documents/readIdentification.js';
import { confinePath } from '../../node/files/confinePath.js';
import { mappedRecording } from './mappedRecording.js';
import type { Tasks } from './tasks.js';

/** What was played last: another part of it is drawn at once. */
let last: { readonly key: string; readonly played: PlayedFeedForward; readonly source: Source } | undefined;

/**
 * Plays a recording of the folder through the feed-forward of a result. Only reads.
 * @throws TautlineError as the command `feedforward --play`
 */
export async function playTask({
  folder,
  identification,
  file,
  key,
  tolerance,
  average,
  removeOffset = false,
  flipTorque = false,
  from,
  to,
  buckets,
}: Tasks['play']['input']): Promise<PlayedDocument> {
  const document = await readIdentification(await confinePath(folder, identification));
  const wanted = JSON.stringify([key, document, tolerance, average, removeOffset, flipTorque]);
  if (last?.key !== wanted) {
    last = undefined;
    const recording = await mappedRecording({ folder, file, key, flip: flipTorque }, document.drive);
    const drive = toDrive(document.drive);
    const id = fromIdentificationDocument(document);
    const played = playFeedForward(recording, drive, id, feedForward(id, drive, { tolerance }), {
      average,
      removeOffset,
    });
    last = { key: wanted, played, source: recording.source };
  }
  return toPlayedDocument(document.name, last.source, last.played, { from, to, buckets });
}
