/** The invented plants themselves, against closed forms, balances and the published LuGre set: what they call truth must be true. */
import { describe, expect, it } from 'vitest';
import { breakaway, type Friction, steadyDrag } from './plant/friction.js';
import { type Machine, Motion } from './plant/machine.js';
import { csvStyles, makePlant, type Plant, plantKinds, toCsv } from './plant/plant.js';
import { publishedLugre } from './plant/published.js';
import { Random } from './plant/random.js';
import { drawRig } from './plant/rig.js';
import { type Phase, run } from './plant/run.js';
import { rollInertia } from './plant/winder.js';

const law = (coulomb: number, viscous: number, quadratic: number): Friction => ({
  coulomb,
  viscous,
  quadratic,
  stribeck: 0,
  stribeckSpeed: 1,
  stribeckExponent: 1,
  adhesion: 0,
  adhesionSpeed: 1,
});

const machineOf = (inertia: number, friction: Friction): Machine => ({
  inertia,
  forward: friction,
  reverse: friction,
  bristleStiffness: inertia * 150 ** 2,
  bristleDamping: 1.4 * inertia * 150,
  ripples: [],
});

/** Speed [rad/s] at time t of a shaft that coasts from w0, its bristles already bent. */
function coasted(machine: Machine, w0: number, t: number, h: number): number {
  const motion = new Motion(machine);
  motion.speed = w0;
  motion.bristle = machine.forward.coulomb / machine.bristleStiffness;
  motion.acceleration = -steadyDrag(machine.forward, w0) / machine.inertia;
  const n = Math.round(t / h);
  for (let k = 0; k < n; k++) motion.step(0, h);
  return motion.speed;
}

const column = (plant: Plant, role: string): Float64Array =>
  plant.columns.find((c) => c.role === role)!.values;
const mean = (v: Float64Array): number => v.reduce((s, x) => s + x, 0) / v.length;

describe('coast-down follows the closed forms of J dw/dt = −drag', () => {
  const inertia = 0.8;
  const w0 = 180;
  // Closed forms: separation of variables, any dynamics text.
  const cases = [
    { name: 'Coulomb', c: 5, b: 0, k: 0, at: (t: number) => w0 - (5 * t) / inertia },
    {
      name: 'Coulomb and viscous',
      c: 3,
      b: 0.02,
      k: 0,
      at: (t: number) => (w0 + 3 / 0.02) * Math.exp((-0.02 * t) / inertia) - 3 / 0.02,
    },
    {
      name: 'Coulomb and quadratic',
      c: 3,
      b: 0,
      k: 1.5e-4,
      at: (t: number) =>
        Math.sqrt(3 / 1.5e-4) *
        Math.tan(Math.atan(w0 * Math.sqrt(1.5e-4 / 3)) - (t * Math.sqrt(1.5e-4 * 3)) / inertia),
    },
    {
      name: 'all three',
      c: 3,
      b: 0.01,
      k: 1.5e-4,
      at: (t: number) => {
        const root = Math.sqrt(4 * 3 * 1.5e-4 - 0.01 ** 2);
        const start = Math.atan((2 * 1.5e-4 * w0 + 0.01) / root);
        return (root * Math.tan(start - (root * t) / (2 * inertia)) - 0.01) / (2 * 1.5e-4);
      },
    },
  ];
  for (const { name, c, b, k, at } of cases) {
    it(name, () => {
      for (const t of [1, 8, 16]) {
        expect(at(t)).toBeGreaterThan(5);
        expect(Math.abs(coasted(machineOf(inertia, law(c, b, k)), w0, t, 0.001) - at(t))).toBeLessThan(
          1e-5 * w0,
        );
      }
    });
  }
});

describe('the integrator converges', () => {
  it('with order 2 while the shaft slides', () => {
    const machine = machineOf(0.5, law(2, 0.05, 1e-3));
    const drive = (h: number): number => {
      const motion = new Motion(machine);
      motion.speed = 60;
      motion.bristle = 2 / machine.bristleStiffness;
      motion.acceleration = (3 - steadyDrag(machine.forward, 60)) / machine.inertia;
      for (let k = 0; k < Math.round(2 / h); k++)
        // Mean of the torque 3 + 20 sin 5t over the step, exactly.
        motion.step(3 + (4 * (Math.cos(5 * k * h) - Math.cos(5 * (k + 1) * h))) / h, h);
      return motion.speed;
    };
    const exact = drive(1 / 16384);
    const ratio = (drive(1 / 64) - exact) / (drive(1 / 128) - exact);
    expect(ratio).toBeGreaterThan(3.6);
    expect(ratio).toBeLessThan(4.4);
  });

  it('with order 1 at least through breakaway and sticking', () => {
    const swing = (h: number): number => {
      const motion = new Motion(publishedLugre);
      for (let k = 0; k < Math.round(4 / h); k++) motion.step(2 * Math.sin(2 * (k + 0.5) * h), h);
      return motion.angle;
    };
    const exact = swing(1e-5);
    const errors = [8e-4, 4e-4, 2e-4].map((h) => Math.abs(swing(h) - exact));
    expect(errors[1]! / errors[0]!).toBeLessThan(0.65);
    expect(errors[2]! / errors[1]!).toBeLessThan(0.65);
  });
});

describe('LuGre', () => {
  // Fs = 1.5 N, Fc = 1 N, σ2 = 0.4: the published set, see plant/published.ts.
  it('breaks away at Fs in a slow ramp, within 1 %, both ways', () => {
    for (const direction of [1, -1]) {
      const motion = new Motion(publishedLugre);
      let most = 0;
      const h = 1e-4;
      for (let k = 0; Math.abs(motion.speed) < 0.02; k++) {
        motion.step(direction * 0.05 * k * h, h);
        most = Math.max(most, direction * motion.friction);
      }
      expect(Math.abs(most / 1.5 - 1)).toBeLessThan(0.01);
    }
  });

  it('holds still below Fs: presliding stays below twice Fs/σ0 and comes back', () => {
    const motion = new Motion(publishedLugre);
    // Raised over a second: a sudden 1.2 N would swing past Fs.
    for (let k = 0; k < 20_000; k++) motion.step(Math.min(1.2, 1.2e-4 * k), 1e-4);
    expect(motion.speed).toBeLessThan(1e-5);
    expect(motion.angle).toBeLessThan(3e-5);
    const bent = motion.angle;
    for (let k = 0; k < 20_000; k++) motion.step(0, 1e-4);
    expect(motion.angle).toBeLessThan(bent - 0.5e-5);
  });

  it('slides steadily at g(v) + σ2 v', () => {
    for (const force of [1.1, 1.4, 2]) {
      const motion = new Motion(publishedLugre);
      motion.speed = 1;
      for (let k = 0; k < 400_000; k++) motion.step(force, 1e-4);
      // v = (F − Fc)/σ2, exp(−(v/0.001)²) being 0.
      expect(motion.speed).toBeCloseTo((force - 1) / 0.4, 5);
    }
  });

  it('breaks a drawn drive away at its truth: within 1 % in a slow ramp, a little earlier in a fast one', () => {
    for (let seed = 1; seed <= 20; seed++) {
      const { machine, control, topSpeed } = drawRig(new Random('breakaway', seed));
      const level = breakaway(machine.forward);
      const steady = { ...machine, ripples: [] };
      /** The most that friction took in a ramp of `time` [s] to the breakaway level: torque less what accelerates the shaft. */
      const most = (time: number): number => {
        const ramp: Phase = {
          mode: 'torque',
          dwell: 0,
          rate: level / time,
          stopSpeed: 0.002 * topSpeed,
          most: 3 * level,
          timeout: 3 * time,
        };
        const traces = run(steady, { ...control, speedNoise: 0 }, [ramp], 0.001, new Random('', 0));
        let highest = 0;
        for (let k = 1; k < traces.length; k++) {
          const push = 0.5 * (traces.torque[k]! + traces.torque[k - 1]!);
          const speedUp = (machine.inertia * (traces.speed[k]! - traces.speed[k - 1]!)) / traces.step;
          highest = Math.max(highest, push - speedUp);
        }
        return highest / level;
      };
      const slow = most(60);
      const fast = most(6);
      expect(Math.abs(slow - 1)).toBeLessThan(0.01);
      // Breakaway falls with the torque rate: what LuGre was made to show.
      expect(fast).toBeLessThan(slow);
      expect(fast).toBeGreaterThan(0.98);
    }
  });
});

it('energy: work of the motor = kinetic energy + work against friction and ripple', () => {
  const { machine } = drawRig(new Random('energy', 3), { ripple: [0.01, 0.02] });
  const motion = new Motion(machine);
  const h = 0.0005;
  let put = 0;
  let lost = 0;
  const ripple = (angle: number): number =>
    machine.ripples.reduce(
      (s, r) => s + (r.amplitude / r.order) * (Math.cos(r.phase) - Math.cos(r.order * angle + r.phase)),
      0,
    );
  const size = 6 * breakaway(machine.forward);
  for (let k = 0; k < 60_000; k++) {
    const torque = size * Math.sin(0.4 * k * h);
    const before = motion.speed;
    motion.step(torque, h);
    const w = 0.5 * (before + motion.speed);
    put += torque * w * h;
    lost += motion.friction * w * h;
  }
  const kinetic = 0.5 * machine.inertia * motion.speed ** 2;
  expect(lost).toBeGreaterThan(0.2 * put);
  expect(Math.abs(put - kinetic - lost - ripple(motion.angle))).toBeLessThan(1e-4 * put);
});

describe('what is recorded fits what is called truth', () => {
  // Units by hand: 0.3048 m × 0.45359237 kg × 9.80665 m/s² to a pound-foot, 1 fpm = 0.3048/60 m/s.
  const torqueUnits: Record<string, (plant: Plant) => number> = {
    'N.m': () => 1,
    '%': (p) => p.drive.rated_torque_Nm / 100,
    A: (p) => p.drive.torque_constant_Nm_per_A!,
    'lb-ft': () => 1.35581794833,
  };
  const toMotor = (p: Plant): number => (2 * p.drive.gear_ratio) / p.drive.roller_diameter_m!;
  const speedUnits: Record<string, (plant: Plant) => number> = {
    'rad/s': () => 1,
    rpm: () => Math.PI / 30,
    'm/min': (p) => toMotor(p) / 60,
    fpm: (p) => (toMotor(p) * 0.3048) / 60,
  };
  const inSI = (
    plant: Plant,
    roles: string[],
    units: Record<string, (plant: Plant) => number>,
  ): Float64Array => {
    const found = plant.columns.find((c) => roles.includes(c.role))!;
    return found.values.map((v) => v * units[found.unit]!(plant));
  };

  /** Torque of the first plateau at top speed, less what still accelerates there, against the truth. */
  const plateau = (kind: (typeof plantKinds)[number], seed: number): number => {
    const plant = makePlant(kind, seed);
    const reference = column(plant, 'speed-reference');
    const top = reference.reduce((m, v) => Math.max(m, v), 0);
    const first = reference.findIndex((v) => v > 0.99999 * top);
    let last = first;
    while (reference[last + 1]! > 0.99999 * top) last++;
    const from = Math.ceil(first + 0.4 * (last - first));
    const time = column(plant, 'time');
    const speed = inSI(plant, ['motor-speed', 'roller-speed'], speedUnits);
    const slope =
      (mean(speed.slice(last - 5, last)) - mean(speed.slice(from, from + 5))) /
      (time[last - 3]! - time[from + 2]!);
    const torque = mean(inSI(plant, ['motor-torque'], torqueUnits).slice(from, last));
    const { truth } = plant;
    return (torque - truth.inertia_kgm2 * slope) / truth.dragAt(mean(speed.slice(from, last))) - 1;
  };
  for (const kind of [
    'staircase-up-down',
    'current-torque-constant',
    'us-units',
    'surface-percent',
  ] as const) {
    it(`steady torque is the static law: ${kind}`, () => {
      const errors = [1, 2, 3, 4, 5, 6].map((seed) => plateau(kind, seed));
      // One short plateau with ripple and noise tells the drag to 3 %; a wrong unit, inertia or law misses in all.
      for (const e of errors) expect(Math.abs(e)).toBeLessThan(0.03);
      expect(Math.abs(errors.reduce((s, e) => s + e, 0) / errors.length)).toBeLessThan(0.01);
    });
  }

  it('surface speed is motor speed × radius / ratio', () => {
    const plant = makePlant('surface-percent', 2);
    const { gear_ratio, roller_diameter_m, max_motor_speed_rad_per_s } = plant.drive;
    const top = column(plant, 'speed-reference').reduce((m, v) => Math.max(m, v), 0);
    expect(top / 60).toBeCloseTo((max_motor_speed_rad_per_s * roller_diameter_m!) / 2 / gear_ratio, 6);
  });

  it('roll inertia: the worked roll of 1.2 m on 0.1 m core, 1.5 m wide, 800 kg/m³', () => {
    // Hand value 244.278464 kg·m²: ½ m (R² + Rc²) with m = 800·π·1.5·(0.36 − 0.0025) = 1347.7432 kg.
    expect(rollInertia(800, 1.5, 0.6, 0.05)).toBeCloseTo(0.5 * 1347.7432 * (0.36 + 0.0025), 3);
    expect(rollInertia(800, 1.5, 0.6, 0.05)).toBeCloseTo(244.278464, 5);
  });

  it('winder and unwind: steady torque is drag ± tension × radius / ratio', () => {
    for (const [kind, sign] of [
      ['winder-build', 1],
      ['unwind-run', -1],
    ] as const) {
      const plant = makePlant(kind, 4);
      const time = column(plant, 'time');
      const line = column(plant, 'line-speed');
      const interval = time[1]! - time[0]!;
      // The steady run just before the first slowing down.
      const top = line.reduce((m, v) => Math.max(m, v), 0);
      let k = line.findIndex((v) => v > 0.999 * top) + Math.round(5 / interval);
      while (line[k]! > 0.99 * top) k++;
      const range = [k - Math.round(12 / interval), k - Math.round(1 / interval)] as const;
      const torque =
        (mean(column(plant, 'motor-torque').slice(...range)) * plant.drive.rated_torque_Nm) / 100;
      const speed = (mean(column(plant, 'motor-speed').slice(...range)) * Math.PI) / 30;
      const radius = mean(column(plant, 'roll-diameter').slice(...range)) / 2000;
      const force = mean(column(plant, 'web-tension').slice(...range));
      const web = (sign * force * radius) / plant.drive.gear_ratio;
      // What is left is the creep of the speed with the diameter, h v²/(2πR³) · J, small at this size.
      expect(Math.abs(torque - web - plant.truth.dragAt(speed))).toBeLessThan(
        0.01 * plant.drive.rated_torque_Nm,
      );
    }
  });
});

describe('makePlant', () => {
  const same = (a: Float64Array, b: Float64Array): boolean =>
    a.length === b.length && a.every((v, i) => Object.is(v, b[i]));

  for (const kind of plantKinds)
    it(`${kind}: time rises, columns of one length, truth in order, same numbers for the same seed only`, () => {
      const plant = makePlant(kind, 7);
      const time = column(plant, 'time');
      expect(time.length).toBeGreaterThan(100);
      expect(time.every((t, i) => i === 0 || t > time[i - 1]!)).toBe(true);
      for (const c of plant.columns) expect(c.values.length).toBe(time.length);
      const { truth } = plant;
      expect(truth.inertia_kgm2).toBeGreaterThan(0);
      expect(truth.dragAt(50)).toBeGreaterThan(truth.coulomb_Nm);
      expect(truth.breakaway_Nm).toBeGreaterThanOrEqual(truth.coulomb_Nm);
      const blanks = plant.columns.some((c) => !c.values.every(Number.isFinite));
      expect(blanks).toBe(kind === 'spikes-missing-jitter');
      const again = makePlant(kind, 7);
      expect(plant.columns.every((c, i) => same(c.values, again.columns[i]!.values))).toBe(true);
      expect(same(column(plant, 'motor-torque'), column(makePlant(kind, 8), 'motor-torque'))).toBe(false);
    });

  it('writes text that reads back to the columns', () => {
    const plant = makePlant('historian', 5);
    for (const style of csvStyles) {
      const lines = toCsv(plant, style).trimEnd().split(/\r?\n/);
      const separator = { plain: ',', 'titled-comma': ';', iso: ',', 'local-clock': ';', 'tab-ms': '\t' }[
        style
      ];
      const rows = lines.slice(-column(plant, 'time').length).map((l) => l.split(separator));
      const torque = plant.columns.findIndex((c) => c.role === 'motor-torque');
      const values = column(plant, 'motor-torque');
      for (const k of [0, 100, values.length - 1])
        expect(Number(rows[k]![torque]!.replace(',', '.'))).toBeCloseTo(values[k]!, 5);
    }
  });
});
