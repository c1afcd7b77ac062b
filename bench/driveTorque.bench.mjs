// Torque map of 60 invented winders: 500 diameters x 50 speeds x 5 accelerations, each with drag, gearbox, motor inertia and margin to the
// motor's limit. Goal: well under 100 ms in one thread on an idle core.
import { driveSides, motorTorqueOverAccelerations } from '../dist/engine/feedforward/motorTorque.js';
import { winderTorque } from '../dist/engine/feedforward/rollerTorque.js';
import { dragTorque } from '../dist/engine/line/drag.js';
import { peakTorqueAt } from '../dist/engine/line/motor.js';
import { radiusRate } from '../dist/engine/roll/buildUp.js';

const [drives, diameters, speeds, runs] = [60, 500, 50, 9];
const accelerations = Float64Array.of(-1, -0.5, 0, 0.5, 1);
const into = new Float64Array(diameters * speeds * accelerations.length);
const motor = {
  ratedTorque: 93,
  torqueLimit: 1.5,
  baseSpeed: 100,
  maxSpeed: 900,
  cooling: 'forced',
  powerFlow: 'both',
};

/** Least margin [N·m] over the whole map. */
function torqueMap(law) {
  const sides = driveSides(
    { ratio: 4, efficiency: 0.96 },
    { from: 'identified', inertiaAtMotor: 0.3 },
    { from: 'identified', dragAtMotor: law },
  );
  const roll = { radius: 0, radiusRate: 0, inertia: 0, speed: 0, acceleration: 0, drag: 0, assist: 0 };
  let least = Number.POSITIVE_INFINITY;
  for (let drive = 0; drive < drives; drive++) {
    let offset = 0;
    for (let i = 0; i < diameters; i++) {
      const radius = 0.05 + (0.55 * i) / (diameters - 1);
      roll.radius = radius;
      roll.inertia = 0.4 + 1500 * radius * radius * radius * radius;
      const slope = roll.inertia / radius;
      for (let j = 1; j <= speeds; j++, offset += accelerations.length) {
        const speed = 0.2 * j;
        roll.speed = speed;
        roll.radiusRate = radiusRate(1e-4, speed, radius, 1);
        const motorSpeed = (4 * speed) / radius;
        const steady = winderTorque(600 + drive, roll);
        const drag = dragTorque(sides.dragAtMotor, motorSpeed);
        motorTorqueOverAccelerations(sides, steady, slope, roll, drag, 0, accelerations, into, offset);
        const peak = peakTorqueAt(motor, motorSpeed);
        for (let k = 0; k < accelerations.length; k++)
          least = Math.min(least, peak - Math.abs(into[offset + k]));
      }
    }
  }
  return least;
}

for (const [name, stribeck] of [
  ['drag without Stribeck term', 0],
  ['drag with Stribeck term', 0.2],
]) {
  const times = [];
  for (let k = 0; k < runs; k++) {
    const from = performance.now();
    torqueMap({ coulomb: 0.5, viscous: 0.01, quadratic: 1e-5, stribeck, stribeckSpeed: 3 });
    times.push(performance.now() - from);
  }
  const first = times[0];
  times.sort((a, b) => a - b);
  console.log(
    `${name.padEnd(28)}${times[runs >> 1].toFixed(0)} ms, first run ${first.toFixed(0)} ms (median of ${runs}, 7.5 million points)`,
  );
}
