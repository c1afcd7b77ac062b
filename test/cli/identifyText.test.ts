import { expect, test } from 'vitest';
import { identificationText } from '../../src/cli/identify.js';
import { runPlant } from '../support/plantRecording.js';

test('what is not estimated stands there with why and with the next step', () => {
  const { identification } = runPlant('staircase-up-down', 1);
  expect(identification.notEstimated.map((n) => n.name)).toContain('breakaway');
  const lines = identificationText(identification, 'si').split('\n');
  for (const { why, next } of identification.notEstimated) {
    const at = lines.findIndex((l) => l.endsWith(why));
    expect(lines[at + 1].trim()).toBe(`next: ${next}`);
  }
});
