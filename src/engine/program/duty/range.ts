import { TautlineError } from '../../errors.js';
import { webPower } from '../../line/power.js';
import type { Inertia, Length, Power, Ratio, Speed, Tension } from '../../units/quantity.js';

/**
 * Speed range that a roll asks of its motor, D/d [1]: at one web speed the motor turns D/d times faster at the core than at the full
 * roll. d core and D full radius or diameter, both alike [m]. @throws TautlineError argument_invalid Source: ω = v/R.
 */
export function speedRange(core: Length, full: Length): Ratio {
  if (!(core > 0 && full >= core))
    throw new TautlineError(
      'argument_invalid',
      { core, full },
      `no roll grows from a core of ${core} m to ${full} m`,
      'state a core above 0 and a full roll that is larger',
    );
  return full / core;
}

/**
 * Corner power F·v·D/d [W]: that of a motor without field weakening which gives the torque of the full roll and the speed of the core.
 * Only a motor whose field may be weakened over the whole range D/d can be rated for the web power F·v. F tension, total [N], v web
 * speed [m/s], d and D as in {@link speedRange}. Valid: constant tension; inertia and drag on top. @throws TautlineError argument_invalid
 * Source: largest torque F·D/2 times largest speed 2·v/d.
 */
export const cornerPower = (tension: Tension, speed: Speed, core: Length, full: Length): Power =>
  webPower(tension, speed) * speedRange(core, full);

/**
 * Inertia of the load over that of the motor, both at the motor [1]. J_load load [kg·m²], J_motor rotor [kg·m²]. A small rotor beside a large
 * load makes the speed loop sensitive to shaft and gear play; tables for motors started on the line do not apply to drives.
 * @throws TautlineError argument_invalid Source: definition.
 */
export function loadInertiaRatio(loadAtMotor: Inertia, motorInertia: Inertia): Ratio {
  if (!(motorInertia > 0 && loadAtMotor >= 0))
    throw new TautlineError(
      'argument_invalid',
      { loadAtMotor, motorInertia },
      `no ratio of a load of ${loadAtMotor} kg·m² to a motor of ${motorInertia} kg·m²`,
      'state a motor inertia above 0 and a load of at least 0',
    );
  return loadAtMotor / motorInertia;
}
