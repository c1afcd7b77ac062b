import { cautions as always } from '../commissioning/words.js';
import type { SheetTest } from './testPlan.js';

/** What a test is called, and what it shows. */
export const testWords: Readonly<Record<SheetTest, { readonly title: string; readonly shows: string }>> = {
  designed: {
    title: 'Whole test in one recording',
    shows:
      'breakaway torque, inertia, drag over the whole speed range, and how drag, offset and delay stand to each other',
  },
  staircase: { title: 'Staircase of steady speeds', shows: 'drag over speed, at slow speeds too' },
  ramps: { title: 'Ramps up and down at two rates', shows: 'inertia at the motor shaft' },
  'coast-down': {
    title: 'Coast-down from top speed',
    shows: 'drag over the whole speed range without the motor, and the offset of the torque display',
  },
  breakaway: {
    title: 'Slow starts from rest',
    shows: 'breakaway torque, and how it scatters with the angle',
  },
  'web-on': {
    title: 'Starts, stops and running with the web on',
    shows: 'what the web feels of the drive, and whether feed-forward keeps its promise',
  },
};

/** The cautions of every test sheet, always in this order and before anything that is to be done. */
export const sheetCautions: readonly string[] = [
  'This sheet says what a recording must show. It does not say that it may be done on this machine: that is decided by whoever is responsible for it, by the local codes and by the machine’s own risk assessment.',
  'Clear and close the machine before anything turns: guards shut, nobody within reach of rollers, nips, cores and couplings, emergency stop tried. Stop at once when it sounds, smells or shakes otherwise than usual.',
  'A drive that is switched off does not hold. In a coast-down the roller turns on by itself for as long as its drag lets it; a brake must neither close on it nor be relied on.',
  ...always,
];

/** What must be true of the machine before a test begins. */
export function conditionsOf(test: SheetTest, isWound: boolean): string[] {
  if (test === 'web-on')
    return [
      'Web threaded and running as in production, tension control on, at a width and tension that are written down.',
      'Feed-forward off for the first recording, on for the second; nothing else changed between them.',
    ];
  return [
    'No web on the roller, nips open, no neighbour coupled to it: only the drive itself, its gearbox and its roller turn.',
    ...(isWound ? ['Empty core on the shaft, no roll: the roll comes on top by its own mass.'] : []),
    'Warm: run it at half speed until the torque no longer falls, 20 min as a rule, and write down how long.',
    'Tension control, dancer and load cell loops off; speed loop as it will stay. Torque and current limits as in production.',
    'Feed-forward, inertia and friction compensation in the drive off, so that the torque shown is all the torque there is.',
  ];
}

/** What has to be in the recording, and how. */
export const channelWords: readonly (readonly [what: string, how: string])[] = [
  ['Time', 'of each sample, or an even interval that is written down'],
  ['Motor speed, actual', 'signed, from the encoder; unfiltered, or the filter written down'],
  [
    'Motor torque, actual',
    'signed, the torque itself and not its set value; in N·m, in percent of rated, or as the current that makes torque',
  ],
  ['Drive enabled', 'on or off: it tells coasting from braking'],
  ['Speed reference', 'useful: it shows where ramps were meant to begin'],
];
