import type { Finding } from '../../../engine/findings.js';
import type { TimeWindow } from '../../components/trend/held.js';

/** What this view can do about a finding. */
export type Remedy =
  | { readonly kind: 'turn-torque' }
  | { readonly kind: 'state-delay' }
  | { readonly kind: 'look'; readonly window: TimeWindow };

/** Shown on either side of the time that a finding names [s]. */
const around = 2;

/** The remedy of a finding that is one click away; undefined where there is none. @param isTurned the sign of the torque is turned already */
export function remedyOf({ code, where }: Finding, isTurned: boolean): Remedy | undefined {
  if (code === 'sign_convention') return isTurned ? undefined : { kind: 'turn-torque' };
  if (code === 'channel_delay') return { kind: 'state-delay' };
  const at = where.first_s;
  return typeof at === 'number' && at > 0
    ? { kind: 'look', window: { from: at - around, to: at + around } }
    : undefined;
}

export const remedyWords: Readonly<Record<Remedy['kind'], string>> = {
  'turn-torque': 'Turn the sign of the torque',
  'state-delay': 'State the delay',
  look: 'Show in the trend',
};
