/** The invented line: its machine, the drives whose tests are recorded, and what they are made of. No such machine exists. */
import type { Friction } from '../test/support/plant/friction.js';
import type { Layout } from '../test/support/plant/layout.js';
import type { CsvStyle, DriveKeys } from '../test/support/plant/plant.js';

export const lineYaml = `# INVENTED demonstration line. No such machine exists; every number is made up.
# drives/NAME.yaml holds a drive, exports/NAME.VISIT.csv what it recorded at a visit (as-found, as-left).
schema: tautline/line@1
name: demo line (invented)
invented: true
web_width_m: 1.6
# In web order, metres, x to the right, y up, seen from the operator side. turns: the sense in which the roller rotates.
sections:
  - { name: unwind,       kind: unwind,    centre_m: [0, 0.6],       diameter_m: 1.0,  turns: clockwise }
  - { name: idler 1,      kind: idler,     centre_m: [1.5, 1.6],     diameter_m: 0.16, turns: clockwise }
  - { name: pull roll,    kind: pull-roll, centre_m: [2.6, 1.0],     diameter_m: 0.3,  turns: counter-clockwise, drive: drives/pull-roll.yaml }
  - { name: bowed roller, kind: spreader,  centre_m: [3.6, 1.7],     diameter_m: 0.15, turns: clockwise,         drive: drives/bowed-roller-helper.yaml }
  - { name: dryer can,    kind: dryer,     centre_m: [4.9, 0.9],     diameter_m: 1.2,  turns: counter-clockwise, drive: drives/dryer-can.yaml }
  - { name: load cell,    kind: load-cell, centre_m: [6.2, 1.8],     diameter_m: 0.16, turns: clockwise }
  - { name: rider roller, kind: rider,     centre_m: [7.4, 1.2],     diameter_m: 0.2,  turns: clockwise,         drive: drives/rider-roller.yaml }
  # Drawn 1 mm clear of the rider roller: the nip is open.
  - { name: winder,       kind: winder,    centre_m: [7.658, 0.893], diameter_m: 0.6,  turns: counter-clockwise, type: centre-surface }
`;

export interface Visit {
  readonly visit: 'as-found' | 'as-left';
  readonly friction: Friction;
}

export interface DemoDrive {
  readonly file: string;
  readonly drive: DriveKeys;
  readonly inertia: number;
  readonly rampTime: number;
  readonly style: CsvStyle;
  readonly layout: Layout;
  readonly visits: readonly Visit[];
}

/** Shares of the Coulomb torque and of top speed, so that drag and breakaway look like those of a roller. */
function friction(
  coulomb: number,
  viscous: number,
  quadratic: number,
  topSpeed: number,
  stribeckShare: number,
  breakawayShare: number,
): Friction {
  return {
    coulomb,
    viscous,
    quadratic,
    stribeck: stribeckShare * coulomb,
    stribeckSpeed: 0.008 * topSpeed,
    stribeckExponent: 1,
    adhesion: (breakawayShare - 1 - stribeckShare) * coulomb,
    adhesionSpeed: 0.0008 * topSpeed,
  };
}

/** Both channels through the same display filter. */
const channels = (filter: number): Pick<Layout, 'torque' | 'speed'> => ({
  torque: { filter },
  speed: { filter },
});

const schema = 'tautline/drive@1';

export const demoDrives: readonly DemoDrive[] = [
  {
    file: 'bowed-roller-helper',
    drive: {
      schema,
      name: 'bowed roller helper',
      element: 'spreader',
      rated_torque_Nm: 5,
      gear_ratio: 2.5,
      roller_diameter_m: 0.15,
      roller_width_m: 1.8,
      max_motor_speed_rad_per_s: 167,
      motor_inertia_kgm2: 0.0011,
      torque_limit_percent: 150,
    },
    inertia: 0.0205,
    rampTime: 4,
    style: 'titled-comma',
    layout: {
      units: 'percent-rpm',
      interval: 0.01,
      ...channels(0.003),
      torqueNoise: 0.001,
      torqueQuantum: 0.001,
      enabled: true,
    },
    visits: [
      { visit: 'as-found', friction: friction(0.55, 0.0026, 8e-6, 167, 0.3, 1.6) },
      // New bearings and grease: less of everything but windage.
      { visit: 'as-left', friction: friction(0.34, 0.0019, 8e-6, 167, 0.2, 1.35) },
    ],
  },
  {
    file: 'pull-roll',
    drive: {
      schema,
      name: 'pull roll',
      element: 'pull-roll',
      rated_torque_Nm: 40,
      gear_ratio: 5,
      roller_diameter_m: 0.3,
      roller_width_m: 1.8,
      max_motor_speed_rad_per_s: 167,
      motor_inertia_kgm2: 0.021,
      torque_limit_percent: 150,
    },
    inertia: 0.112,
    rampTime: 4,
    style: 'plain',
    layout: { units: 'si', interval: 0.01, ...channels(0.002), torqueNoise: 0.0008, enabled: true },
    visits: [{ visit: 'as-found', friction: friction(1.45, 0.0068, 3e-5, 167, 0.25, 1.5) }],
  },
  {
    file: 'dryer-can',
    drive: {
      schema,
      name: 'dryer can',
      element: 'dryer',
      rated_torque_Nm: 60,
      gear_ratio: 18,
      roller_diameter_m: 1.2,
      roller_width_m: 1.8,
      max_motor_speed_rad_per_s: 150,
      motor_inertia_kgm2: 0.045,
      torque_limit_percent: 150,
    },
    inertia: 0.53,
    rampTime: 8,
    style: 'iso',
    layout: {
      units: 'surface',
      interval: 0.02,
      ...channels(0.008),
      torqueNoise: 0.0015,
      torqueQuantum: 0.001,
      enabled: true,
    },
    visits: [{ visit: 'as-found', friction: friction(3.2, 0.024, 5e-5, 150, 0.2, 1.7) }],
  },
  {
    file: 'rider-roller',
    drive: {
      schema,
      name: 'rider roller',
      element: 'rider',
      rated_torque_Nm: 4.5,
      torque_constant_Nm_per_A: 0.62,
      gear_ratio: 3,
      roller_diameter_m: 0.2,
      roller_width_m: 1.7,
      max_motor_speed_rad_per_s: 150,
      motor_inertia_kgm2: 0.0012,
      torque_limit_percent: 150,
    },
    inertia: 0.0183,
    rampTime: 3,
    style: 'local-clock',
    layout: {
      units: 'current',
      torqueConstant: 0.62,
      interval: 0.01,
      ...channels(0.004),
      torqueNoise: 0.0015,
      torqueQuantum: 0.0005,
      enabled: true,
    },
    visits: [{ visit: 'as-found', friction: friction(0.31, 0.0012, 4e-6, 150, 0.35, 1.45) }],
  },
];
