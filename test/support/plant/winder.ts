/**
 * A roll of web that grows or shrinks: J(R) = J0 + (π/2) ρ W (R⁴ − Rc⁴)/i² at the motor, dR/dt = ± h v/(2πR),
 * motor torque = J dw/dt + drag(w) ± T R/i (winder +, unwind −), w = i v/R. No dJ/dt·w term: the web arrives with the speed
 * of the surface. The web is stiff, so the line imposes the speed and no speed loop is needed.
 * Sources: hollow cylinder and area balance, any dynamics text; momentum carried by the web, control-volume balance.
 */
import { steadyDrag } from './friction.js';
import type { Plant, PlantColumn } from './plantTypes.js';
import type { Random } from './random.js';
import { dragTruth, drawFriction, nameplate } from './rig.js';
import { type Sensor, sample } from './sensor.js';

export const rollInertia = (density: number, width: number, radius: number, coreRadius: number): number =>
  0.5 * Math.PI * density * width * (radius ** 4 - coreRadius ** 4);

/** Line speed [m/s]: from rest to `fast`, and every `period` [s] down to `slow` for `dwell` and back, ramps of `ramp` [s]. */
function lineSpeed(
  t: number,
  p: { fast: number; slow: number; period: number; dwell: number; ramp: number },
): number {
  if (t < p.ramp) return (p.fast * t) / p.ramp;
  const u = (t - p.ramp) % p.period;
  const down = p.period - 2 * p.ramp - p.dwell;
  if (u < down) return p.fast;
  if (u < down + p.ramp) return p.fast + ((p.slow - p.fast) * (u - down)) / p.ramp;
  if (u < down + p.ramp + p.dwell) return p.slow;
  return p.slow + ((p.fast - p.slow) * (u - down - p.ramp - p.dwell)) / p.ramp;
}

export function makeRoll(kind: 'winder-build' | 'unwind-run', seed: number, random: Random): Plant {
  const winds = kind === 'winder-build';
  const coreRadius = nameplate(random.uniform(0.045, 0.09));
  const fullRadius = random.uniform(0.3, 0.5);
  const width = nameplate(random.uniform(0.6, 1.8));
  const density = random.uniform(650, 1350);
  const fast = random.uniform(3, 7);
  const duration = random.uniform(500, 900);
  const topSpeed = nameplate(random.uniform(150, 300));
  const ratio = nameplate(topSpeed / (fast / coreRadius) / random.uniform(1.05, 1.3));
  const program = {
    fast,
    slow: random.uniform(0.4, 0.65) * fast,
    period: duration / random.uniform(6, 9),
    dwell: random.uniform(8, 14),
    ramp: random.uniform(7, 12),
  };
  const tension = random.uniform(80, 350) * width;
  const roll = rollInertia(density, width, fullRadius, coreRadius) / ratio ** 2;
  const own = roll * random.uniform(0.03, 0.12);
  const most = (tension * fullRadius) / ratio + (roll * ((fast / program.ramp) * ratio)) / fullRadius;
  const ratedTorque = nameplate(most / random.uniform(0.7, 1));
  const friction = drawFriction(random, ratedTorque * random.uniform(0.008, 0.03), topSpeed);

  // The thickness that fills the roll in the time: line length by Simpson is not needed, the sum of the steps is exact enough.
  const step = 0.01;
  const n = Math.round(duration / step);
  let length = 0;
  for (let k = 0; k < n; k++) length += lineSpeed((k + 0.5) * step, program) * step;
  const thickness = (Math.PI * (fullRadius ** 2 - coreRadius ** 2)) / length;

  const speed = new Float64Array(n);
  const torque = new Float64Array(n);
  const line = new Float64Array(n);
  const force = new Float64Array(n);
  const diameter = new Float64Array(n);
  const inertiaAt = (radius: number): number =>
    own + rollInertia(density, width, radius, coreRadius) / ratio ** 2;
  const sign = winds ? 1 : -1;
  const areaStart = winds ? coreRadius ** 2 : fullRadius ** 2;
  const wander = [random.uniform(0, 6), random.uniform(0, 6)];
  let wound = 0;
  // Tension control catches the ramps imperfectly: a first-order share of the acceleration shows as tension.
  const leak = random.uniform(0.02, 0.06);
  let upset = 0;
  for (let k = 0; k < n; k++) {
    const t = (k + 1) * step;
    const v = lineSpeed(t, program);
    const dv = (lineSpeed(t + step, program) - lineSpeed(t - step, program)) / (2 * step);
    wound += lineSpeed(t - 0.5 * step, program) * step;
    const radius = Math.sqrt(areaStart + (sign * thickness * wound) / Math.PI);
    const w = (ratio * v) / radius;
    const dw = ratio * (dv / radius - (sign * thickness * v * v) / (2 * Math.PI * radius ** 3));
    upset += (-sign * leak * tension * (dv / (fast / program.ramp)) - upset) * (step / 0.8);
    const f =
      tension * (1 + 0.006 * Math.sin(t / 2.3 + wander[0]!) + 0.004 * Math.sin(t / 9.1 + wander[1]!)) + upset;
    speed[k] = w;
    line[k] = v;
    force[k] = f;
    diameter[k] = 2 * radius;
    torque[k] = inertiaAt(radius) * dw + steadyDrag(friction, w) + (sign * f * radius) / ratio;
  }

  const interval = random.pick([0.05, 0.1, 0.2]);
  const times = Float64Array.from(
    { length: Math.floor(duration / interval) - 1 },
    (_, k) => (k + 1) * interval,
  );
  const filter = random.uniform(0.01, 0.04);
  const column = (
    header: string,
    unit: string,
    role: string,
    trace: Float64Array,
    sensor: Sensor,
  ): PlantColumn => ({
    header,
    unit,
    role,
    values: sample(trace, step, times, sensor, random),
  });
  return {
    kind,
    seed,
    drive: {
      schema: 'tautline/drive@1',
      name: winds ? 'invented winder' : 'invented unwind',
      element: winds ? 'winder' : 'unwind',
      rated_torque_Nm: ratedTorque,
      gear_ratio: ratio,
      core_diameter_m: 2 * coreRadius,
      roller_width_m: width,
      max_motor_speed_rad_per_s: topSpeed,
      torque_limit_percent: 150,
      web: { width_m: width },
    },
    columns: [
      { header: 'Time', unit: 's', role: 'time', values: times.map((t) => Math.round(t * 1e6) / 1e6) },
      column('Line speed', 'm/min', 'line-speed', line, { filter, scale: 60, noise: 0.02, quantum: 0.01 }),
      column('Motor speed', 'rpm', 'motor-speed', speed, {
        filter,
        scale: 30 / Math.PI,
        noise: topSpeed * 1e-4 * (30 / Math.PI),
        quantum: 0.1,
      }),
      column('Torque act', '%', 'motor-torque', torque, {
        filter,
        scale: 100 / ratedTorque,
        noise: 0.15,
        quantum: 0.1,
      }),
      column('Web tension', 'N', 'web-tension', force, { filter, noise: 0.003 * tension, quantum: 0.1 }),
      column('Roll diameter', 'mm', 'roll-diameter', diameter, { scale: 1000, noise: 0.2, quantum: 0.1 }),
    ],
    truth: {
      inertia_kgm2: own,
      ...dragTruth(friction),
      offset_Nm: 0,
      dragAt: (w) => steadyDrag(friction, Math.abs(w)),
      inertiaAtDiameter: (d) => inertiaAt(d / 2),
      rollDensity_kgm3: density,
    },
    expects: { findings: ['web_on', 'inertia_varies'], verdict: 'warned' },
  };
}
