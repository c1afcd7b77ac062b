/** The invented line: its machine, the drives whose tests are recorded, and what they are made of. No such machine exists. */
import type { Friction } from '../test/support/plant/friction.js';
import type { Layout } from '../test/support/plant/layout.js';
import type { CsvStyle, DriveKeys } from '../test/support/plant/plant.js';

export const lineYaml = `# yaml-language-server: $schema=../schemas/line.schema.json
# INVENTED demonstration line. No such machine exists; every number is made up.
# drives/NAME.yaml holds a drive, exports/NAME.VISIT.csv what it recorded at a visit (as-found, as-left).
schema: tautline/line@1
name: demo line (invented)
invented: true
web_width_m: 1.6
speed: { top_m_per_min: 300, acceleration_m_per_s2: 0.25, stop_m_per_s2: 0.4, emergency_stop_s: 8 }
# In web order, metres, x to the right, y up, seen from the operator side. turns: the sense in which the roller rotates.
sections:
  - name: unwind
    kind: unwind
    centre_m: [0, 0.6]
    diameter_m: 1.0
    turns: clockwise
    core_diameter_m: 0.1
    full_diameter_m: 1.0
    tension_N_per_m: 220
    drive: drives/unwind.yaml
  - name: idler 1
    kind: idler
    centre_m: [1.5, 1.6]
    diameter_m: 0.16
    face_width_m: 1.8
    turns: clockwise
    shell: { wall_mm: 8, material: aluminium }
    bearings: { bore_mm: 25, outer_diameter_mm: 52, kinematic_viscosity_m2_per_s: 1.0e-4, static_rating_N: 7800 }
    friction: 0.25
    roughness_um: 1.6
  - name: pull roll
    kind: pull-roll
    centre_m: [2.6, 1.0]
    diameter_m: 0.3
    turns: counter-clockwise
    nip_force_N_per_m: 1500
    nip_friction: 0.3
    tension_N_per_m: 250
    drive: drives/pull-roll.yaml
  - { name: bowed roller, kind: spreader, centre_m: [3.6, 1.7], diameter_m: 0.15, turns: clockwise, friction: 0.3, grooved: true, drive: drives/bowed-roller-helper.yaml }
  - { name: dryer can, kind: dryer, centre_m: [4.9, 0.9], diameter_m: 1.2, turns: counter-clockwise, tension_N_per_m: 260, drive: drives/dryer-can.yaml }
  - { name: load cell, kind: load-cell, centre_m: [6.2, 1.8], turns: clockwise, like: idler 1 }
  - { name: rider roller, kind: rider, centre_m: [7.4, 1.2], diameter_m: 0.2, turns: clockwise, friction: 0.3, drive: drives/rider-roller.yaml }
  # The rider roller drives the surface of the roll and moves away as the roll grows.
  - name: winder
    kind: winder
    type: centre-surface
    centre_m: [7.65735, 0.89377]
    diameter_m: 0.6
    turns: counter-clockwise
    core_diameter_m: 0.1
    full_diameter_m: 1.0
    drum: rider roller
    drive: drives/winder.yaml
`;

/** What the line makes; beside it the second demonstration line, demo-two-drum, with one of its own. */
export const productYaml = `# yaml-language-server: $schema=../../schemas/product.schema.json
# INVENTED product of the demonstration line. Every number is made up.
schema: tautline/product@1
name: coated paper 80 (invented)
invented: true
web:
  width_m: 1.6
  caliper_um: 100
  modulus_GPa: 5
  density_kgm3: 800
  friction: 0.3
  friction_on_roller: 0.25
  roughness_um: 2.5
  permeable: true
  strength_N_per_m: 3200
  stack: { law: exponential, K1_kPa: 8, K2: 40 }
limits:
  lowest_tension_N_per_m: 120
  highest_tension_N_per_m: 400
  strength_share: 0.2
  lowest_nip_N_per_m: 150
  highest_nip_N_per_m: 800
  steepest_per_m: 2
winder:
  core_diameter_m: 0.1
  full_diameter_m: 1.0
  tension:             { law: blend, linear_share: 0.4, start_N_per_m: 260, taper: 0.3, hard_start: { boost: 0.08, depth_m: 0.12 } }
  nip:                 { law: linear, start_N_per_m: 420, end_N_per_m: 280 }
  torque_differential: { law: linear, start_N_per_m: 180, end_N_per_m: 100 }
  setpoint: { stall: 0.5, full_from_m_per_min: 40, accelerating: 1.05, decelerating: 1.05, splice: { share: 1.1, ramp_s: 2 } }
unwind:
  core_diameter_m: 0.1
  full_diameter_m: 1.0
  tension: { law: constant, start_N_per_m: 220 }
  setpoint: { stall: 0.5, full_from_m_per_min: 40 }
`;

/** A roll of that product on the demonstration line's winder. */
export const rollYaml = `# yaml-language-server: $schema=../../schemas/roll.schema.json
# INVENTED roll of the demonstration line. Every number is made up.
schema: tautline/roll@1
name: coated paper 80 on a steel core (invented)
invented: true
web:
  width_m: 1.6
  caliper_um: 100
  modulus_GPa: 5
  poisson: 0.01
  density_kgm3: 800
  friction: 0.3
  strength_N_per_m: 3200
  stack: { law: exponential, K1_kPa: 8, K2: 40 }
core: { outer_diameter_m: 0.1, bore_diameter_m: 0.084, modulus_GPa: 206, poisson: 0.3 }
wind:
  finished_diameter_m: 1.0
  tension: { law: linear, start_N_per_m: 260, end_N_per_m: 187 }
  torque_differential: { law: linear, start_N_per_m: 180, end_N_per_m: 100 }
  nip_N_per_m: 350
  method: centre-surface
speed_m_per_min: 300
acceleration_m_per_s2: 0.3
stop: { deceleration_m_per_s2: 0.625, braked_at: core }
# A coater unwinds it later; it is stopped harder there than on the winder.
unwind: { tension_N_per_m: 220, acceleration_m_per_s2: 0.3, deceleration_m_per_s2: 0.95, braked_at: core }
# Lines struck on its side on the way, as a test of slip.
j_line: { struck_at_diameters_m: [0.4, 0.7], shear_share: 0.1 }
# What happens to it afterwards: it stops, cools in the store, and takes up moisture.
after_winding:
  expansion: { along_per_K: 8e-6, through_per_K: 60e-6, core_per_K: 12e-6 }
  swelling: { along: 0.05, through: 0.8, core: 0 }
  steps: [{ comes_to_rest: true }, { temperature_change_K: -10 }, { moisture_change: 0.003 }]
# How uncertain its web is: the stack as its test says (stack-tests/), modulus and friction as measured on several sheets.
uncertainty:
  modulus_share: 0.06
  friction_share: 0.15
  stack:
    law: exponential
    parameters: [{ name: K1_Pa, interval95: [7546.5503, 8133.8978] }, { name: K2, interval95: [39.718053, 40.441036] }]
    correlation: [[1, -0.9238588], [-0.9238588, 1]]
# What its core and its handling ask, and between what a schedule is designed.
limits:
  lowest_tension_N_per_m: 120
  highest_tension_N_per_m: 400
  lowest_differential_share: 0.2
  highest_differential_share: 0.8
  lowest_nip_N_per_m: 150
  highest_nip_N_per_m: 800
  slope_per_m: 2
  highest_core_pressure_kPa: 400
  lowest_outer_pressure_kPa: 25
design: { target: flat-pressure, wanted: 0.05 }
`;

/** A second roll of that winder, of a web that lets no air through. */
export const filmRollYaml = `# yaml-language-server: $schema=../../schemas/roll.schema.json
# INVENTED roll of the demonstration line's winder: a film, which takes air along where paper lets it through. Every number is made up.
schema: tautline/roll@1
name: film 25 with air (invented)
invented: true
web:
  width_m: 1.6
  caliper_um: 25
  modulus_GPa: 4.5
  poisson: 0.01
  density_kgm3: 1390
  friction: 0.3
  roughness_um: 0.5
  strength_N_per_m: 3000
  stack: { law: exponential, K1_kPa: 3, K2: 120 }
core: { outer_diameter_m: 0.1, bore_diameter_m: 0.084, modulus_GPa: 206, poisson: 0.3 }
wind:
  finished_diameter_m: 0.3
  tension: { law: linear, start_N_per_m: 125, end_N_per_m: 105 }
  torque_differential: { law: linear, start_N_per_m: 70, end_N_per_m: 55 }
  nip_N_per_m: 200
  method: centre-surface
  # Of the film that would pass without a nip this share stays, as if measured by the diameter of rolls wound at two speeds.
  air: { film_share: 0.05 }
speed_m_per_min: 150
stop: { deceleration_m_per_s2: 0.4, braked_at: core }
# It stops, cools on its steel core, and creeps on the shelf.
after_winding:
  expansion: { along_per_K: 17e-6, through_per_K: 60e-6, core_per_K: 12e-6 }
  creep: { shares: [0.05, 0.1], times_h: [1, 24] }
  steps: [{ comes_to_rest: true }, { temperature_change_K: -5 }, { time_h: 48 }]
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
    file: 'unwind',
    // Recorded with an empty core on the shaft: the roll comes on top by its density.
    drive: {
      schema,
      name: 'unwind',
      element: 'unwind',
      rated_torque_Nm: 70,
      gear_ratio: 4,
      core_diameter_m: 0.1,
      base_speed_rad_per_s: 157,
      max_motor_speed_rad_per_s: 420,
      motor_inertia_kgm2: 0.11,
      gear_efficiency: 0.95,
      torque_limit_percent: 150,
    },
    inertia: 0.145,
    rampTime: 10,
    style: 'plain',
    layout: { units: 'si', interval: 0.01, ...channels(0.003), torqueNoise: 0.0008, enabled: true },
    visits: [{ visit: 'as-found', friction: friction(1.6, 0.0032, 6e-6, 420, 0.2, 1.45) }],
  },
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
  {
    file: 'winder',
    drive: {
      schema,
      name: 'winder',
      element: 'winder',
      rated_torque_Nm: 80,
      gear_ratio: 4,
      core_diameter_m: 0.1,
      base_speed_rad_per_s: 157,
      max_motor_speed_rad_per_s: 420,
      motor_inertia_kgm2: 0.13,
      gear_efficiency: 0.95,
      torque_limit_percent: 150,
    },
    inertia: 0.168,
    rampTime: 10,
    style: 'titled-comma',
    layout: {
      units: 'percent-rpm',
      interval: 0.01,
      ...channels(0.003),
      torqueNoise: 0.0008,
      torqueQuantum: 0.0005,
      enabled: true,
    },
    visits: [{ visit: 'as-found', friction: friction(1.9, 0.0036, 7e-6, 420, 0.25, 1.5) }],
  },
];
