import type { Ratio, Speed, TensionPerWidth, Time } from '../units/quantity.js';
import type { SetpointProgram } from './product.js';

/** What the line does; each has its share of the scheduled tension. */
export const lineStates = [
  'standstill',
  'running',
  'accelerating',
  'decelerating',
  'splice',
  'transfer',
] as const;
export type LineState = (typeof lineStates)[number];

/**
 * Share of the scheduled tension that is held at a web speed, s + (1 − s)·min(1, v/v₁) [1]: s stall share at standstill, whole from v₁
 * on. v web speed [m/s], s [1], v₁ [m/s]. A straight ramp: the tension follows the speed without a step at either end. Source: definition.
 */
export const speedShare = ({ stall, fullFrom }: SetpointProgram, speed: Speed): Ratio =>
  stall + (1 - stall) * (fullFrom > 0 ? Math.min(1, Math.abs(speed) / fullFrom) : 1);

/**
 * Share of the scheduled tension in a state of the line at a web speed [1]: that of the speed, times what speeding up, slowing down, a splice
 * or a transfer asks for. v web speed [m/s]. undefined for an event that the program does not have. Source: definition.
 */
export function stateShare(setpoint: SetpointProgram, state: LineState, speed: Speed): Ratio | undefined {
  switch (state) {
    case 'standstill':
      return setpoint.stall;
    case 'running':
      return speedShare(setpoint, speed);
    case 'accelerating':
      return speedShare(setpoint, speed) * setpoint.accelerating;
    case 'decelerating':
      return speedShare(setpoint, speed) * setpoint.decelerating;
    default: {
      const event = setpoint[state];
      return event === undefined ? undefined : speedShare(setpoint, speed) * event.share;
    }
  }
}

/**
 * Share that an event holds at a time after its start, when it ends after `duration`: 1 before, its share between, 1 after, with straight
 * ramps of the stated time at both ends [1]. t time since the start [s]. Source: definition.
 */
export function eventShare(
  event: { readonly share: Ratio; readonly ramp: Time },
  time: Time,
  duration: Time,
): Ratio {
  const inside = Math.min(time, duration + event.ramp - time) / event.ramp;
  return 1 + (event.share - 1) * Math.max(0, Math.min(1, inside));
}

/** Smallest and largest share of the scheduled tension while the line runs at full tension speed, events among them [1]. Source: definition. */
export function runningShares(setpoint: SetpointProgram): { smallest: Ratio; largest: Ratio } {
  const shares = lineStates
    .filter((state) => state !== 'standstill')
    .map((state) => stateShare(setpoint, state, Number.POSITIVE_INFINITY))
    .filter((s) => s !== undefined);
  return { smallest: Math.min(...shares), largest: Math.max(...shares) };
}

/** The tension setpoint in one state of the line, at core and full roll. */
export interface SetpointRow {
  readonly state: LineState;
  readonly share: Ratio;
  readonly atCore: TensionPerWidth;
  readonly atFull: TensionPerWidth;
  /** Time in which an event is brought in and taken out. */
  readonly ramp?: Time;
}

/**
 * The setpoint in every state that the program has, in force at core and full roll [N/m]; running states at full tension speed. `start`, `end`
 * the schedule's values in force at core and full roll [N/m]. Source: {@link stateShare}.
 */
export function setpointRows(
  setpoint: SetpointProgram,
  start: TensionPerWidth,
  end: TensionPerWidth,
): SetpointRow[] {
  return lineStates.flatMap((state) => {
    const share = stateShare(setpoint, state, Number.POSITIVE_INFINITY);
    if (share === undefined) return [];
    const ramp = state === 'splice' || state === 'transfer' ? setpoint[state]?.ramp : undefined;
    return [
      { state, share, atCore: share * start, atFull: share * end, ...(ramp !== undefined && { ramp }) },
    ];
  });
}
