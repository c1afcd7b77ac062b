import type { RollInput } from '../../program/roll/rollInput.js';
import type { JsonSchema } from '../jsonSchema.js';
import { object, positive } from '../properties.js';

/** How the finished roll is unwound later, as a roll document states it. */
export interface UnwindDocument {
  readonly tension_N_per_m: number;
  readonly acceleration_m_per_s2?: number;
  readonly deceleration_m_per_s2?: number;
  readonly braked_at?: 'core' | 'surface';
}

export const unwindSchema: JsonSchema = object(
  'how the finished roll is unwound later',
  {
    tension_N_per_m: positive('tensionPerWidth', 'tension of the web that leaves'),
    acceleration_m_per_s2: positive('acceleration', 'acceleration of the web in a start'),
    deceleration_m_per_s2: positive('acceleration', 'deceleration of the web in a stop, as a magnitude'),
    braked_at: { enum: ['core', 'surface'], description: 'where it is braked; the core when left out' },
  },
  ['tension_N_per_m'],
);

/** The unwind as the engine computes with it. */
export const toUnwinding = (unwind: UnwindDocument): NonNullable<RollInput['unwinding']> => ({
  tension: unwind.tension_N_per_m,
  ...(unwind.acceleration_m_per_s2 !== undefined && { acceleration: unwind.acceleration_m_per_s2 }),
  ...(unwind.deceleration_m_per_s2 !== undefined && { deceleration: unwind.deceleration_m_per_s2 }),
  brakedAt: unwind.braked_at ?? 'core',
});
