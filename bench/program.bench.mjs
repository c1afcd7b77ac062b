// A line of 60 sections with all its programs: torque of every drive over 500 diameters x 50 speeds x 5 accelerations, schedules over 500
// diameters, tug budget and web path. Goal: under 150 ms in one thread on an idle core, first run of a fresh process included.
import { checkLine } from '../dist/engine/line/check/lineCheck.js';
import { tugBudget } from '../dist/engine/line/tug/tugBudget.js';
import { driveMap } from '../dist/engine/program/drives/driveMap.js';
import { programmeLine } from '../dist/engine/program/programmeLine.js';
import { tugOptions } from '../dist/engine/program/tugOptions.js';
import { toLine } from '../dist/engine/project/line/toLine.js';
import { toProduct } from '../dist/engine/project/product/toProduct.js';

const drive = (torque) => ({
  rated_torque_Nm: torque,
  gear_ratio: 3,
  gear_efficiency: 0.96,
  base_speed_rad_per_s: 150,
  max_motor_speed_rad_per_s: 1200,
  motor_inertia_kgm2: 0.02,
  torque_limit_percent: 150,
});
const mechanics = {
  inertia_kgm2: 0.12,
  drag: { coulomb_Nm: 0.8, viscous_Nms: 0.01, quadratic_Nms2: 1e-4 },
  friction: 0.3,
};
const turns = (k) => (k % 2 === 0 ? 'clockwise' : 'counter-clockwise');
const at = (k) => [k, k % 2 === 0 ? 0.5 : 0];
const roll = { core_diameter_m: 0.1, full_diameter_m: 1.2 };
const sections = [
  {
    name: 'unwind',
    kind: 'unwind',
    centre_m: at(-1),
    diameter_m: 0.8,
    turns: turns(-1),
    tension_N_per_m: 200,
    core_inertia_kgm2: 1,
    drive: drive(300),
  },
  ...Array.from({ length: 57 }, (_, k) => ({
    name: `roller ${k}`,
    kind: k % 10 === 5 ? 'pull-roll' : k % 3 === 0 ? 'driven-idler' : 'idler',
    centre_m: at(k),
    diameter_m: 0.16,
    turns: turns(k),
    ...mechanics,
    ...(k % 10 === 5 && { tension_N_per_m: 200 + k }),
    ...((k % 10 === 5 || k % 3 === 0) && { drive: drive(20) }),
  })),
  {
    name: 'drum',
    kind: 'drum',
    centre_m: at(57),
    diameter_m: 0.3,
    turns: turns(57),
    ...mechanics,
    drive: drive(60),
  },
  {
    name: 'winder',
    kind: 'winder',
    type: 'centre-surface',
    drum: 'drum',
    centre_m: [58, 0.35],
    diameter_m: 0.8,
    turns: turns(58),
    core_inertia_kgm2: 1,
    drive: drive(300),
  },
];
const line = toLine({
  schema: 'tautline/line@1',
  name: 'bench line (invented)',
  sections,
  speed: { top_m_per_s: 10, acceleration_m_per_s2: 0.5, stop_m_per_s2: 0.5, emergency_stop_s: 10 },
});
const linear = (start, end) => ({ law: 'linear', start_N_per_m: start, end_N_per_m: end });
const product = toProduct({
  schema: 'tautline/product@1',
  web: {
    width_m: 1.5,
    caliper_m: 1e-4,
    density_kgm3: 800,
    friction: 0.3,
    friction_on_roller: 0.25,
    strength_N_per_m: 4000,
  },
  winder: {
    ...roll,
    tension: { law: 'hyperbolic', start_N_per_m: 300, taper: 0.5 },
    nip: linear(400, 250),
    torque_differential: linear(60, 0),
  },
  unwind: { ...roll, tension: linear(250, 250) },
});
const grid = {
  diameters: Array.from({ length: 500 }, (_, k) => 0.1 + (1.1 * k) / 499),
  speeds: Array.from({ length: 50 }, (_, k) => 0.2 * (k + 1)),
  accelerations: [-1, -0.5, 0, 0.5, 1],
};

function all() {
  const check = checkLine(line);
  const tug = tugBudget(line, tugOptions(product));
  const programmed = programmeLine(line, product, 500);
  const from = performance.now();
  const maps = programmed.models.map((m) => driveMap(m, grid));
  return { check, tug, programmed, maps, mapTime: performance.now() - from };
}

const times = [];
const mapTimes = [];
let points = 0;
for (let k = 0; k < 7; k++) {
  const from = performance.now();
  const { maps, mapTime } = all();
  times.push(performance.now() - from);
  mapTimes.push(mapTime);
  points = maps.reduce((sum, m) => sum + m.torque.length, 0);
}
const sorted = [...times].sort((a, b) => a - b);
const sortedMaps = [...mapTimes].sort((a, b) => a - b);
console.log(
  `${sections.length} sections, ${points} torques: first ${times[0].toFixed(0)} ms, median ${sorted[3].toFixed(0)} ms, best ${sorted[0].toFixed(0)} ms`,
);
console.log(
  `torque maps alone: first ${mapTimes[0].toFixed(0)} ms, median ${sortedMaps[3].toFixed(0)} ms, ${((1e6 * sortedMaps[3]) / points).toFixed(0)} ns a torque; ratio of everything to the goal of 150 ms: first ${(times[0] / 150).toFixed(2)}, median ${(sorted[3] / 150).toFixed(2)}`,
);
