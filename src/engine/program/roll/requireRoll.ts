import { TautlineError } from '../../errors.js';
import type { RollInput } from './rollInput.js';

/**
 * Refuses numbers with which a roll would be wound and be none [SI]: what a document's schema holds off, for programs that call the engine. Schedules, stack law and winding refuse
 * their own. @throws TautlineError argument_invalid naming the value. Source: definition.
 */
export function requireRoll({ web, core, nip, speed, stop, woundOn, afterWinding }: RollInput): void {
  const demand = (
    name: string,
    value: number | undefined,
    good: (x: number) => boolean,
    next: string,
  ): void => {
    if (value === undefined || good(value)) return;
    throw new TautlineError('argument_invalid', { [name]: value }, `${name} is ${value}`, next);
  };
  const positive = (x: number): boolean => x > 0 && Number.isFinite(x);
  const notNegative = (x: number): boolean => x >= 0 && Number.isFinite(x);
  for (const key of ['width', 'caliper', 'modulus', 'density', 'friction', 'roughness', 'strength'] as const)
    demand(`web.${key}`, web[key], positive, 'state a number above 0');
  demand('web.poisson', web.poisson, (x) => Math.abs(x) <= 1, 'state a number from −1 to 1');
  demand('core.outerRadius', core.outerRadius, positive, 'state a number above 0');
  demand('core.stiffness', core.stiffness, (x) => x > 0, 'state a stiffness above 0');
  demand('nip', nip, notNegative, 'state a force of at least 0');
  demand('speed', speed, notNegative, 'state a speed of at least 0');
  demand('stop.deceleration', stop?.deceleration, positive, 'state a deceleration above 0, as a magnitude');
  demand(
    'woundOn.nipCoefficient',
    woundOn?.nipCoefficient?.value,
    notNegative,
    'state a slope of at least 0',
  );
  demand('afterWinding.steps', afterWinding?.steps.length, (x) => x > 0, 'state a step, or nothing');
}
