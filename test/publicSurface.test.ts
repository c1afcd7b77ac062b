import { expect, test } from 'vitest';
import * as engine from '../src/engine/index.js';
import * as node from '../src/node/index.js';

// The whole job by the public names alone: what a program that builds on the package imports.
test('engine and node export what the job needs, and nothing twice', () => {
  for (const name of [
    'identify',
    'mapChannels',
    'compareIdentifications',
    'feedForward',
    'buildCommissioningReport',
    'renderHtml',
    'parseUnit',
    'checkLine',
    'programmeLine',
    'createSchedule',
    'renderLineDrawing',
  ])
    expect(engine, name).toHaveProperty(name);
  for (const name of [
    'readRecordingTable',
    'readDrive',
    'importRecording',
    'commissionFolder',
    'readIdentification',
    'readLine',
    'readProduct',
  ])
    expect(node, name).toHaveProperty(name);
  expect(Object.keys(engine).filter((name) => name in node)).toEqual([]);
});
