import type { Role } from '../../../engine/recording/recording.js';
import { roleQuantities } from '../../../engine/recording/roleProposal.js';
import { parseUnit } from '../../../engine/units/parse.js';
import { type QuantityKey, quantity, type Unit } from '../../../engine/units/quantity.js';
import type { RecordingTrace, TraceColumn } from '../../api/types.js';

/** A column of a recording as a trend shows it. */
export interface TrendChannel {
  /** What the server is asked for, and what stands for the channel in an address: its role, else its header. */
  readonly key: string;
  readonly label: string;
  readonly role?: Role;
  /** Undefined where the unit is not stated or not known: such a channel is shown in the file's own unit. */
  readonly quantity?: QuantityKey;
  /** SI per unit of the file; 1 without a quantity. */
  readonly factor: number;
  /** Unit of the file. */
  readonly fileUnit: string;
  readonly signal: Signal;
  readonly isSwitch: boolean;
  /** A set value: the same hue, dashed. */
  readonly isReference: boolean;
  /** By how much the channel comes late [s]; it is drawn earlier by so much. */
  readonly delay?: number;
}

export type Signal = 'speed' | 'torque' | 'tension' | 'neutral';

const signals: Partial<Record<Role, Signal>> = {
  'speed-reference': 'speed',
  'motor-speed': 'speed',
  'roller-speed': 'speed',
  'line-speed': 'speed',
  'motor-torque': 'torque',
  'web-tension': 'tension',
};

/** A role as words: "motor-speed" is "motor speed". */
export const roleWords = (role: Role): string => role.replaceAll('-', ' ');

/** All columns that can be drawn, those with a role first; the time is the axis and no channel. */
export function channelsOf({ columns }: Pick<RecordingTrace, 'columns'>): TrendChannel[] {
  const drawn = columns.filter((c) => c.role !== 'time' && (c.kind === 'number' || c.kind === 'boolean'));
  return [...drawn.filter((c) => c.role), ...drawn.filter((c) => !c.role)].map(channelOf);
}

function channelOf(column: TraceColumn): TrendChannel {
  const { role, header } = column;
  // a dash is how files write that there is no unit
  const unit = /^[-–—]?$/.test(column.unit ?? '') ? '' : (column.unit as string);
  const parsed = unit === '' ? undefined : role ? parseUnit(unit, roleQuantities[role]) : parseUnit(unit);
  return {
    key: role ?? header,
    label: role === undefined ? header : roleWords(role),
    ...(role && { role }),
    ...(parsed && { quantity: parsed.quantity }),
    factor: parsed?.unit.factor ?? 1,
    fileUnit: unit,
    signal: (role && signals[role]) ?? 'neutral',
    isSwitch: column.kind === 'boolean' || role === 'drive-enabled',
    isReference: role === 'speed-reference',
  };
}

/** What is shown at first: channels with a role, at most six; of a recording without roles the first four columns. */
export function usualChannels(channels: readonly TrendChannel[]): TrendChannel[] {
  const known = channels.filter((c) => c.role !== undefined);
  return known.length > 0 ? known.slice(0, 6) : channels.slice(0, 4);
}

/** Channels that share an axis, one above the other in the trend. */
export interface Lane {
  readonly id: string;
  readonly channels: readonly TrendChannel[];
  /** Quantity, symbol and unit. */
  readonly axis: string;
  /** The same for an axis that has room for a few characters only: symbol and unit. */
  readonly shortAxis: string;
  /** Shown unit per SI, or per unit of the file. */
  readonly scale: number;
  readonly unit: string;
  /** Holds on and off only, and needs little room. */
  readonly isSwitch: boolean;
}

/** Lanes in the order of their first channels: speeds, torques and tensions of one quantity together, everything else alone. */
export function lanesOf(channels: readonly TrendChannel[], units: { unit(key: QuantityKey): Unit }): Lane[] {
  const groups = new Map<string, TrendChannel[]>();
  for (const channel of channels) {
    const id =
      channel.quantity === undefined || channel.signal === 'neutral'
        ? channel.key
        : `${channel.signal} ${channel.quantity}`;
    groups.set(id, [...(groups.get(id) ?? []), channel]);
  }
  return [...groups].map(([id, members]): Lane => {
    const [first] = members as [TrendChannel];
    if (first.quantity === undefined)
      return {
        id,
        channels: members,
        axis: first.fileUnit === '' ? first.label : `${first.label} [${first.fileUnit}]`,
        shortAxis: first.fileUnit === '' ? '' : `[${first.fileUnit}]`,
        scale: 1,
        isSwitch: first.isSwitch,
        unit: first.fileUnit,
      };
    const unit = units.unit(first.quantity);
    const { symbol, label } = quantity(first.quantity);
    const name = members.length === 1 ? first.label : label;
    return {
      id,
      channels: members,
      axis: `${[name, symbol].filter((t) => t !== '').join(', ')} [${unit.label}]`,
      shortAxis: `${symbol} [${unit.label}]`.trim(),
      scale: 1 / unit.factor,
      unit: unit.label,
      isSwitch: false,
    };
  });
}
