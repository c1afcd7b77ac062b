import { expect, test } from 'vitest';
import { identify } from '../../../../src/engine/identify/identify.js';
import { identifiedWith } from '../../../../src/engine/project/board/staleBecause.js';
import { type DriveDocument, driveSchema, toDrive } from '../../../../src/engine/project/drive.js';
import { toIdentificationDocument } from '../../../../src/engine/project/identification.js';
import { mapChannels } from '../../../../src/engine/recording/mapChannels.js';
import { makePlant } from '../../../support/plant/plant.js';
import { plantTable } from '../../../support/plantRecording.js';

/** Other values of every key of a drive file that a result is said not to rest on. */
const others: Partial<DriveDocument> = {
  notes: 'greased',
  motor_inertia_kgm2: 0.5,
  gear_inertia_kgm2: 0.5,
  gear_efficiency: 0.5,
  cooling: 'self-ventilated',
  power_flow: 'driving',
  base_speed_rad_per_s: 1,
};

test('a result rests on a key of the drive file, or the key changes nothing in it', () => {
  const plant = makePlant('staircase-up-down', 1);
  const resultOf = (more: Partial<DriveDocument>) => {
    const document = { ...(plant.drive as DriveDocument), ...more };
    const drive = toDrive(document);
    // the drive is stated in the result as it is; everything else has to be the same
    return {
      ...toIdentificationDocument(identify(mapChannels(plantTable(plant), drive), drive), document),
      drive: undefined,
    };
  };
  expect(resultOf(others)).toEqual(resultOf({}));
  expect(resultOf({ gear_ratio: 1.01 })).not.toEqual(resultOf({}));
  expect([...identifiedWith, ...Object.keys(others), 'schema'].sort()).toEqual(
    Object.keys(driveSchema.properties ?? {}).sort(),
  );
});
