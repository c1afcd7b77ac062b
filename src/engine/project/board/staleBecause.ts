import type { DriveDocument } from '../drive.js';
import type { IdentificationDocument } from '../identification.js';
import { lastPart } from '../visit.js';
import type { StaleReason } from './boardDocument.js';
import { type BoardFile, type BoardRecording, documentOf } from './boardInput.js';

/**
 * What a result rests on of its drive file. The rest (rotor, gearbox losses, cooling, base speed, direction of power, notes) is asked for by
 * torques and limits, which are computed anew from the file as it is.
 */
export const identifiedWith = [
  'name',
  'element',
  'rated_torque_Nm',
  'torque_constant_Nm_per_A',
  'gear_ratio',
  'roller_diameter_m',
  'core_diameter_m',
  'roller_width_m',
  'max_motor_speed_rad_per_s',
  'torque_limit_percent',
  'web',
] as const satisfies readonly (keyof DriveDocument)[];

/** A gear ratio that is left out is 1 (drive.ts). */
const meaning = (document: DriveDocument, key: (typeof identifiedWith)[number]): unknown => {
  if (key === 'gear_ratio') return document.gear_ratio ?? 1;
  return key === 'web' ? document.web?.width_m : document[key];
};

/**
 * Which inputs of a result are no longer what they were, by their checksums and never by dates: the recording's bytes, the choices beside it,
 * and the drive file as the result states it. Empty when nothing changed. A result without checksums, as one made by hand, is only held
 * against its drive file. Not a relation [1]. Source: docs/board.md.
 */
export function staleBecause(
  result: IdentificationDocument,
  recordings: readonly BoardRecording[],
  drive: BoardFile<DriveDocument> | undefined,
): StaleReason[] {
  return [...recordingReasons(result, recordings), ...driveReasons(result.drive, drive)];
}

/** The recording that a result was made from, as its bytes are now: by checksum, else by name. Not a relation [1]. Source: definition. */
export function recordingOf(
  { inputs }: IdentificationDocument,
  recordings: readonly BoardRecording[],
): BoardRecording | undefined {
  const named = (r: BoardRecording): boolean => lastPart(r.file) === inputs.file;
  const same = recordings.filter((r) => r.sha256 !== undefined && r.sha256 === inputs.sha256);
  return same.find(named) ?? same[0] ?? recordings.find(named);
}

function recordingReasons(
  result: IdentificationDocument,
  recordings: readonly BoardRecording[],
): StaleReason[] {
  const { inputs } = result;
  if (inputs.sha256 === '') return [];
  const found = recordingOf(result, recordings);
  if (found === undefined)
    return [
      {
        input: 'recording-gone',
        file: inputs.file,
        message: `${inputs.file}, which it was made from, is not in the folder, so it cannot be checked`,
      },
    ];
  if (found.sha256 !== inputs.sha256)
    return [
      {
        input: 'recording',
        file: found.file,
        message:
          found.sha256 === undefined
            ? `${found.file} cannot be read any more`
            : `${found.file} is not the file any more that it was made from`,
      },
    ];
  if (inputs.choices_sha256 === found.choices_sha256) return [];
  // a result from before choices were stated says nothing of them
  if (inputs.choices_sha256 === undefined) return [];
  return [
    {
      input: 'channels',
      file: found.file,
      message:
        found.choices_sha256 === undefined
          ? `what was chosen beside ${found.file} is gone or cannot be read`
          : `roles, units or interval beside ${found.file} were chosen anew`,
    },
  ];
}

function driveReasons(was: DriveDocument, drive: BoardFile<DriveDocument> | undefined): StaleReason[] {
  if (drive === undefined) return [];
  const now = documentOf(drive);
  if (now === undefined)
    return [{ input: 'drive', file: drive.file, message: `${drive.file} cannot be read any more`, keys: [] }];
  const keys = identifiedWith.filter((key) => meaning(was, key) !== meaning(now, key));
  if (keys.length === 0) return [];
  const show = (value: unknown): string => (value === undefined ? 'not stated' : String(value));
  const changes = keys.map((key) => `${key} was ${show(meaning(was, key))}, is ${show(meaning(now, key))}`);
  return [{ input: 'drive', file: drive.file, message: `${drive.file}: ${changes.join('; ')}`, keys }];
}
