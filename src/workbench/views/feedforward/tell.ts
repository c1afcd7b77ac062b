import type { Drive } from '../../../engine/line/drive.js';
import { writeNumber } from '../../state/numberEntry.js';
import type { Units } from '../../state/units.js';
import type { Made } from './made.js';
import type { TorqueUnit } from './torqueUnit.js';

/** One thing that the drive's program has to be told. */
export interface Told {
  readonly name: string;
  readonly value: string;
  readonly unit: string;
  /** Half width of the 95 % interval. */
  readonly halfWidth?: string;
}

/** What the drive's program has to be told besides the table: the numbers that go on top of it, and what they hold for. */
export function toTell(made: Made, drive: Drive, units: Units, torque: TorqueUnit): Told[] {
  const { feedForward: f, directions } = made;
  const told: Told[] = [];
  if (f.inertia) {
    const half = (f.inertia.interval95[1] - f.inertia.interval95[0]) / 2;
    told.push({ name: 'Inertia at the motor shaft', ...units.pair('inertia', f.inertia.value, half) });
  }
  for (const { name, table } of directions) {
    if (!table.assist) continue;
    const of = name === '' ? '' : `, ${name}`;
    const { interval95, fadeSpeed, fadeTime } = table.assist;
    told.push(
      {
        name: `Assist at start${of}`,
        ...torque.pair(table.assist.torque, (interval95[1] - interval95[0]) / 2),
      },
      {
        name: `Assist gone at motor speed${of}`,
        value: units.number('angularSpeed', fadeSpeed),
        unit: units.unit('angularSpeed').label,
      },
      {
        name: `Assist gone after${of}`,
        value: units.number('time', fadeTime),
        unit: units.unit('time').label,
      },
    );
  }
  if (drive.ratedTorque !== undefined)
    told.push({
      name: 'Rated torque, as stated',
      value: units.number('torque', drive.ratedTorque),
      unit: units.unit('torque').label,
    });
  told.push({ name: 'Gear ratio, as stated', value: writeNumber(drive.gearRatio, units.style), unit: '' });
  if (drive.rollerRadius !== undefined)
    told.push({
      name: 'Roller diameter, as stated',
      value: units.number('length', 2 * drive.rollerRadius),
      unit: units.unit('length').label,
    });
  return told;
}

/** All of it and the table as tab-separated text. */
export function tellTsv(
  title: string,
  told: readonly Told[],
  tables: readonly { readonly caption: string; readonly tsv: string }[],
): string {
  const head = [
    ['What', 'Value', '± 95 %', 'Unit'],
    ...told.map((t) => [t.name, t.value, t.halfWidth ?? '', t.unit]),
  ];
  return [title, ...head.map((l) => l.join('\t')), ...tables.flatMap((t) => ['', t.caption, t.tsv])].join(
    '\n',
  );
}
