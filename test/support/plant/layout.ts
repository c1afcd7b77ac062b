/** From traces to the columns of a file: which units, which sampling, which sensors, which faults. */
import type { PlantColumn } from './plantTypes.js';
import type { Random } from './random.js';
import type { Rig } from './rig.js';
import type { Traces } from './run.js';
import { type Sensor, sample } from './sensor.js';

const lbFt = 0.3048 * 4.4482216152605;

export type Units = 'percent-rpm' | 'si' | 'surface' | 'current' | 'us' | 'position' | 'position-turns';

export interface Layout {
  readonly units: Units;
  /** Sampling interval [s]. */
  readonly interval: number;
  /** Standard deviation of the sampling instants [s]. */
  readonly jitter?: number;
  readonly reference?: boolean;
  readonly enabled?: boolean;
  readonly torque: Sensor;
  readonly speed: Sensor;
  /** Quantisation of torque as a fraction of rated and of speed as a fraction of top speed. */
  readonly torqueQuantum?: number;
  readonly speedQuantum?: number;
  /** Noise of the torque display as a fraction of rated. */
  readonly torqueNoise?: number;
  readonly flipTorque?: boolean;
  readonly unsignedSpeed?: boolean;
  /** Shares of samples. */
  readonly spikes?: number;
  readonly missing?: number;
  /** Stretches of lost rows. */
  readonly gaps?: number;
  readonly torqueConstant?: number;
  readonly startTime?: number;
  /** Where the recording begins: when the output goes off, or at this time [s]. */
  readonly from?: 'off' | number;
}

export function samplingTimes(traces: Traces, layout: Layout, random: Random): Float64Array {
  const begin = layout.from === 'off' ? traces.enabled.indexOf(0) * traces.step : (layout.from ?? 0);
  const n = Math.floor((traces.length * traces.step - begin) / layout.interval) - 1;
  const jitter = layout.jitter ?? 0;
  const times = new Float64Array(n);
  for (let k = 0; k < n; k++) {
    // Jitter stays below 0.4 intervals, so time never runs back.
    const shift = jitter > 0 ? jitter * Math.max(-2, Math.min(2, random.normal())) : 0;
    times[k] =
      begin +
      (k + 1) * layout.interval +
      Math.max(-0.4 * layout.interval, Math.min(0.4 * layout.interval, shift));
  }
  return times;
}

export function columnsOf(rig: Rig, traces: Traces, layout: Layout, random: Random): PlantColumn[] {
  const times = samplingTimes(traces, layout, random);
  const ratio = rig.drive.gear_ratio;
  const radius = (rig.drive.roller_diameter_m ?? 1) / 2;
  const speedUnit = {
    'percent-rpm': { unit: 'rpm', factor: 30 / Math.PI },
    si: { unit: 'rad/s', factor: 1 },
    surface: { unit: 'm/min', factor: (60 * radius) / ratio },
    current: { unit: 'rpm', factor: 30 / Math.PI },
    us: { unit: 'fpm', factor: (60 * radius) / ratio / 0.3048 },
    position: { unit: 'rad', factor: 1 },
    'position-turns': { unit: 'rev', factor: 1 / (2 * Math.PI) },
  }[layout.units];
  const torqueUnit =
    layout.units === 'si' || layout.units === 'position'
      ? { unit: 'N.m', factor: 1 }
      : layout.units === 'us'
        ? { unit: 'lb-ft', factor: 1 / lbFt }
        : layout.units === 'current'
          ? { unit: 'A', factor: 1 / (layout.torqueConstant ?? 1) }
          : { unit: '%', factor: 100 / rig.ratedTorque };
  const columns: PlantColumn[] = [];
  const surface = layout.units === 'surface' || layout.units === 'us';
  const isPosition = layout.units === 'position' || layout.units === 'position-turns';
  if (layout.reference !== false && !isPosition) {
    const held: Sensor = { delay: layout.speed.delay ?? 0, scale: speedUnit.factor };
    columns.push({
      header: 'Speed ref',
      unit: speedUnit.unit,
      role: 'speed-reference',
      values: sample(traces.reference, traces.step, times, held, random),
    });
  }
  if (isPosition) {
    columns.push({
      header: 'Position act',
      unit: speedUnit.unit,
      role: 'motor-position',
      values: sample(
        traces.angle,
        traces.step,
        times,
        { scale: speedUnit.factor, quantum: rig.control.encoderStep * speedUnit.factor },
        random,
      ),
    });
  } else {
    columns.push({
      header: surface ? 'Roller speed act' : 'Speed act',
      unit: speedUnit.unit,
      role: surface ? 'roller-speed' : 'motor-speed',
      values: sample(
        traces.seenSpeed,
        traces.step,
        times,
        {
          ...layout.speed,
          scale: speedUnit.factor,
          quantum: (layout.speedQuantum ?? 1e-5) * rig.topSpeed * speedUnit.factor,
        },
        random,
      ),
    });
  }
  const f = torqueUnit.factor * (layout.flipTorque ? -1 : 1) * (layout.torque.scale ?? 1);
  columns.push({
    header: layout.units === 'current' ? 'Torque current' : 'Torque act',
    unit: torqueUnit.unit,
    role: 'motor-torque',
    values: sample(
      traces.torque,
      traces.step,
      times,
      {
        ...layout.torque,
        scale: f,
        offset: rig.offset * f,
        noise: (layout.torqueNoise ?? 0.001) * rig.ratedTorque * Math.abs(f),
        quantum: (layout.torqueQuantum ?? 0.0001) * rig.ratedTorque * Math.abs(f),
      },
      random,
    ),
  });
  if (layout.enabled)
    columns.push({
      header: 'Drive enabled',
      unit: '1',
      role: 'drive-enabled',
      values: sample(traces.enabled, traces.step, times, { quantum: 1 }, random),
    });
  if (rig.web !== undefined) columns.push(...webColumns(rig, rig.web.tension, traces, times, random));
  if (layout.unsignedSpeed)
    for (const c of columns)
      if (c.role === 'motor-speed' || c.role === 'speed-reference')
        for (let i = 0; i < c.values.length; i++) c.values[i] = Math.abs(c.values[i]!);
  spoil(columns, layout, random);
  const start = layout.startTime ?? 0;
  const time: PlantColumn = {
    header: 'Time',
    unit: 's',
    role: 'time',
    values: times.map((t) => start + Math.round(t * 1e6) / 1e6),
  };
  return layout.gaps ? withoutRows([time, ...columns], layout.gaps, random) : [time, ...columns];
}

/** Line speed and load cell beside a driven roller in production. */
function webColumns(
  rig: Rig,
  tension: number,
  traces: Traces,
  times: Float64Array,
  random: Random,
): PlantColumn[] {
  const toLine = (30 * (rig.drive.roller_diameter_m ?? 1)) / rig.drive.gear_ratio;
  return [
    {
      header: 'Line speed',
      unit: 'm/min',
      role: 'line-speed',
      values: sample(traces.reference, traces.step, times, { scale: toLine, quantum: 0.01 }, random),
    },
    {
      header: 'Web tension',
      unit: 'N',
      role: 'web-tension',
      values: times.map(
        (t) => Math.round(10 * tension * (1 + 0.01 * Math.sin(t / 3) + 0.004 * random.normal())) / 10,
      ),
    },
  ];
}

/** Spikes and blank cells, in the measured columns. */
function spoil(columns: readonly PlantColumn[], layout: Layout, random: Random): void {
  for (const c of columns) {
    if (c.role === 'drive-enabled' || c.role === 'speed-reference') continue;
    const size = c.values.reduce((m, v) => Math.max(m, Math.abs(v)), 0);
    for (let n = Math.round((layout.spikes ?? 0) * c.values.length); n > 0; n--) {
      const k = Math.floor(random.unit() * c.values.length);
      c.values[k] = size * random.uniform(1.5, 4) * (random.chance(0.5) ? 1 : -1);
    }
    for (let n = Math.round((layout.missing ?? 0) * c.values.length); n > 0; n--)
      c.values[Math.floor(random.unit() * c.values.length)] = Number.NaN;
  }
}

/** Loses `count` stretches of 0.5 to 2 % of the rows each. */
function withoutRows(columns: readonly PlantColumn[], count: number, random: Random): PlantColumn[] {
  const n = columns[0]!.values.length;
  const keep = new Uint8Array(n).fill(1);
  for (let g = 0; g < count; g++) {
    const from = Math.floor(random.uniform(0.05, 0.95) * n);
    keep.fill(0, from, from + Math.floor(random.uniform(0.005, 0.02) * n));
  }
  return columns.map((c) => ({ ...c, values: c.values.filter((_, i) => keep[i] === 1) }));
}
