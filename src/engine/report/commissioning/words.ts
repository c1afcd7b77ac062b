import type { Verdict } from '../../findings.js';
import type { ParameterName, SegmentKind } from '../../identify/identification.js';
import type { Element } from '../../line/drive.js';
import type { Role } from '../../recording/recording.js';

/** What each parameter is called, always with its side. */
export const parameterWords: Readonly<Record<ParameterName, string>> = {
  inertia: 'Inertia at the motor shaft',
  coulomb: 'Coulomb drag at the motor shaft',
  viscous: 'Viscous drag at the motor shaft, per speed',
  quadratic: 'Windage at the motor shaft, per speed squared',
  stribeck: 'Extra drag towards standstill (Stribeck)',
  stribeckSpeed: 'Speed over which the extra drag decays',
  breakaway: 'Breakaway torque at the motor shaft',
  offset: 'Torque offset (sensor zero or gravity)',
};

export const kindWords: Readonly<Record<SegmentKind, { readonly label: string; readonly letter: string }>> = {
  plateau: { label: 'plateau', letter: 'P' },
  ramp: { label: 'ramp', letter: 'R' },
  coast: { label: 'coast-down', letter: 'C' },
  breakaway: { label: 'breakaway', letter: 'B' },
  rest: { label: 'rest', letter: '0' },
  excluded: { label: 'excluded', letter: '×' },
};

export const elementWords: Readonly<Record<Element, string>> = {
  unwind: 'Unwind',
  'pull-roll': 'Pull roll',
  'driven-idler': 'Driven idler',
  spreader: 'Spreader',
  rider: 'Rider roll',
  dryer: 'Dryer',
  drum: 'Drum',
  winder: 'Winder',
};

export const roleWords: Readonly<Record<Role, string>> = {
  time: 'Time',
  'speed-reference': 'Speed reference',
  'motor-speed': 'Speed at the motor',
  'motor-position': 'Position at the motor',
  'roller-speed': 'Surface speed of the roller',
  'line-speed': 'Line speed',
  'motor-torque': 'Torque at the motor',
  'web-tension': 'Web tension',
  'roll-diameter': 'Roll diameter',
  'drive-enabled': 'Drive enabled',
};

export const verdictWords: Readonly<Record<Verdict, string>> = {
  identified: 'Identified',
  warned: 'Identified, with warnings',
  refused: 'Refused by the data',
};

/** The cautions of every commissioning report. */
export const cautions: readonly string[] = [
  'Rotating rollers, nips and couplings draw in hands, hair, clothing and tools. Keep clear of every roller that can turn, also while it coasts.',
  'A web under tension, a raised dancer and a turning roll store energy that is set free when the web breaks or a brake lets go. Release tension and bring rolls to rest before anyone reaches in.',
  'A drive can start by itself as soon as it is enabled. Lock out and tag out before work on the machine; prove that it is dead.',
  'Follow the local codes, the machine’s own risk assessment and its operating instructions; they come before anything written here. Tests and settings belong in the hands of qualified people with the licence that the place demands.',
  'Nothing in this report is a safety function. Torque limits, assists and feed-forward values protect neither people nor the machine.',
  'Tautline never writes to a drive or a controller. Whoever enters these values checks them first, at low speed and without a web.',
];

/** What the numbers are and how they were made: the same for every drive. */
export const methodWords: readonly string[] = [
  'Every number stands at the motor shaft unless its name says otherwise. Positive torque drives the web forward; drag is stated as the magnitude that opposes rotation.',
  'The fit balances, over stretches of the recording, measured torque against inertia times change of speed, drag over speed and a constant offset. It works on impulse and momentum, so that speed is never differentiated. Corners of ramps, saturated torque, gaps and spikes are left out.',
  'The 95 % interval covers the true value in 95 of 100 repetitions of such a test. It allows for residuals that follow one another. It does not cover what a repetition would not show: a wrong rating plate, a wrong gear ratio, a bearing that warms up further.',
  'A number that the recording cannot support is not given. It stands under “Not estimated” with its reason.',
];
