import { removeNode, replaceNode, setValues } from '../../yaml/patch.js';
import { statedKey, valueAt } from '../../yaml/stated.js';
import { asMap, entry } from './editRoll.js';

/** With another acceleration of the web in a start while it is wound [m/s²]; 0 for a roll whose start is not judged. */
export function setAcceleration(text: string, si: number): string {
  const map = asMap(valueAt(text, []));
  const [key, value] = entry(map, 'acceleration_', 'acceleration', si, 1e-4, 'm_per_s2');
  if (si > 0) return setValues(text, [[[key], value]]);
  return Object.hasOwn(map, key) ? removeNode(text, [key]) : text;
}

/** With another tension when it is unwound later [N/m]; 0 for a roll whose unwinding is not judged. */
export function setUnwindTension(text: string, si: number): string {
  const unwind = valueAt(text, ['unwind']);
  if (!(si > 0)) return unwind === undefined ? text : removeNode(text, ['unwind']);
  const [key, value] = entry(asMap(unwind), 'tension_', 'tensionPerWidth', si, 0.01, 'N_per_m');
  return unwind === undefined
    ? setValues(text, [[['unwind'], { [key]: value, braked_at: 'core' }]])
    : setValues(text, [[['unwind', key], value]]);
}

/** With another acceleration in a start or deceleration in a stop of its unwind, which is stated [m/s²]; 0 for none. */
export function setUnwindRamp(text: string, what: 'acceleration' | 'deceleration', si: number): string {
  const map = asMap(valueAt(text, ['unwind']));
  const [key, value] = entry(map, `${what}_`, 'acceleration', si, 1e-4, 'm_per_s2');
  if (si > 0) return setValues(text, [[['unwind', key], value]]);
  return Object.hasOwn(map, key) ? removeNode(text, ['unwind', key]) : text;
}

export const setUnwindBrakedAt = (text: string, at: 'core' | 'surface'): string =>
  setValues(text, [[['unwind', 'braked_at'], at]]);

export type LimitName = 'highest_pressure' | 'highest_core_pressure' | 'lowest_outer_pressure';

/** With a limit of pressure changed [Pa]; 0 for none. */
export function setLimit(text: string, name: LimitName, si: number): string {
  const limits = valueAt(text, ['limits']);
  const map = asMap(limits);
  const [key, value] = entry(map, `${name}_`, 'pressure', si, 1, 'kPa');
  if (si > 0)
    return limits === undefined
      ? setValues(text, [[['limits'], { [key]: value }]])
      : setValues(text, [[['limits', key], value]]);
  if (!Object.hasOwn(map, key)) return text;
  return removeNode(text, Object.keys(map).length === 1 ? ['limits'] : ['limits', key]);
}

/** Shear modulus of the stack as one of the two ways in which the form states it; the third, a torque step, is stated in the file. */
export type Shear = { readonly modulus: number } | { readonly share: number };

/** A share that is plausible until it is measured, so that a line shows at all. */
const shareToBeginWith = 0.1;

/** With the diameters at which lines are struck on its side [m], none for no lines. Lines that are new begin with a shear share of a tenth, which is to be measured. */
export function setStruckAt(text: string, diameters: readonly number[]): string {
  const line = valueAt(text, ['j_line']);
  if (diameters.length === 0) return line === undefined ? text : removeNode(text, ['j_line']);
  const stated = statedKey(asMap(line), 'struck_at_diameters_', 'length');
  const [key, factor] = [stated?.key ?? 'struck_at_diameters_m', stated?.unit.factor ?? 1];
  const values = diameters.map((d) => Number((d / factor).toPrecision(6)));
  return line === undefined
    ? setValues(text, [[['j_line'], { [key]: values, shear_share: shareToBeginWith }]])
    : replaceNode(text, ['j_line', key], values);
}

/** With the shear modulus of the stack stated anew, in place of what it was stated by. Lines are stated. */
export function setShear(text: string, shear: Shear): string {
  const map = asMap(valueAt(text, ['j_line']));
  const [key, value]: [string, number] =
    'share' in shear
      ? ['shear_share', Number(shear.share.toPrecision(6))]
      : entry(map, 'shear_modulus_', 'modulus', shear.modulus, 1, 'MPa');
  const others = Object.keys(map).filter((k) => k !== key && /^(shear_|torque_step$)/.test(k));
  const without = others.reduce((t, k) => removeNode(t, ['j_line', k]), text);
  return setValues(without, [[['j_line', key], value]]);
}
