import type { AfterWindingDocument } from '../../../engine/project/roll/afterWindingDocument.js';
import type { QuantityKey } from '../../../engine/units/quantity.js';
import { unitById } from '../../../engine/units/quantity.js';
import { insertItem, type Path, removeNode, setValues } from '../../yaml/patch.js';
import { inUnit, statedKey, valueAt } from '../../yaml/stated.js';

type Step = AfterWindingDocument['steps'][number];

export const asMap = (value: unknown): object => (typeof value === 'object' && value !== null ? value : {});

/** The key and number to write for a quantity [SI]: in the unit in which the map states it, else in the one given. `step` as in {@link inUnit}. */
export function entry(
  map: object,
  stem: string,
  quantity: QuantityKey,
  si: number,
  step: number,
  ownUnit: string,
): [key: string, value: number] {
  const stated = statedKey(map, stem, quantity);
  const unit = stated?.unit ?? unitById(quantity, ownUnit);
  if (unit === undefined) throw new Error(`${quantity} has no unit ${ownUnit}`);
  return [stated?.key ?? `${stem}${unit.id}`, inUnit(si, unit, step)];
}

/** The text of a roll with its nip force changed [N/m]. */
export function setNip(text: string, si: number): string {
  const [key, value] = entry(asMap(valueAt(text, ['wind'])), 'nip_', 'tensionPerWidth', si, 0.01, 'N_per_m');
  return setValues(text, [[['wind', key], value]]);
}

/** With its web speed changed [m/s]. */
export function setSpeed(text: string, si: number): string {
  const [key, value] = entry(asMap(valueAt(text, [])), 'speed_', 'speed', si, 1e-4, 'm_per_min');
  return setValues(text, [[[key], value]]);
}

/** With another deceleration of its stop [m/s²]; 0 for a roll that is not stopped. */
export function setStop(text: string, si: number): string {
  const stop = valueAt(text, ['stop']);
  if (!(si > 0)) return stop === undefined ? text : removeNode(text, ['stop']);
  const [key, value] = entry(asMap(stop), 'deceleration_', 'acceleration', si, 1e-4, 'm_per_s2');
  return stop === undefined
    ? setValues(text, [[['stop'], { [key]: value, braked_at: 'core' }]])
    : setValues(text, [[['stop', key], value]]);
}

export const setBrakedAt = (text: string, at: 'core' | 'surface'): string =>
  setValues(text, [[['stop', 'braked_at'], at]]);

/** With the air that its laps take along, or without. */
export function setAir(text: string, isOn: boolean): string {
  const isThere = valueAt(text, ['wind', 'air']) !== undefined;
  if (isOn === isThere) return text;
  return isOn ? setValues(text, [[['wind', 'air'], {}]]) : removeNode(text, ['wind', 'air']);
}

export const setFilmShare = (text: string, share: number): string =>
  setValues(text, [[['wind', 'air', 'film_share'], share]]);

/** With what happens in a step after winding changed [K, 1, s]. A change of 0 is taken out where the step states something else. */
export function setStepValue(
  text: string,
  index: number,
  what: 'temperature' | 'moisture' | 'time',
  si: number,
): string {
  const path: Path = ['after_winding', 'steps', index];
  const step = asMap(valueAt(text, path));
  const [key, value] =
    what === 'temperature'
      ? entry(step, 'temperature_change_', 'temperatureDifference', si, 1e-3, 'K')
      : what === 'time'
        ? entry(step, 'time_', 'time', si, 1, 'h')
        : (['moisture_change', Number(si.toFixed(8))] as [string, number]);
  if (si === 0 && Object.keys(step).some((k) => k !== key))
    return Object.hasOwn(step, key) ? removeNode(text, [...path, key]) : text;
  return setValues(text, [[[...path, key], value]]);
}

/** With a step in which the roll comes to rest, or not; a step in which nothing else happens is left alone. */
export function setComesToRest(text: string, index: number, isSo: boolean): string {
  const path: Path = ['after_winding', 'steps', index, 'comes_to_rest'];
  if (isSo) return setValues(text, [[path, true]]);
  const step = asMap(valueAt(text, path.slice(0, -1)));
  return Object.keys(step).length > 1 ? removeNode(text, path) : text;
}

/** With one step more at the end. */
export function addStep(text: string, step: Step): string {
  const steps = valueAt(text, ['after_winding', 'steps']);
  return Array.isArray(steps)
    ? insertItem(text, ['after_winding', 'steps'], steps.length, step)
    : setValues(text, [[['after_winding'], { steps: [step] }]]);
}

/** Without a step; with the last one goes all that is stated of the time after winding. */
export function removeStep(text: string, index: number): string {
  const steps = valueAt(text, ['after_winding', 'steps']) as readonly unknown[];
  return removeNode(text, steps.length > 1 ? ['after_winding', 'steps', index] : ['after_winding']);
}

export type CoefficientKind = 'expansion' | 'swelling';
/** Along the web, through it, and of the core; per kelvin, or per unit of moisture. */
export interface Coefficients {
  readonly along: number;
  readonly through: number;
  readonly core: number;
}

const coefficientKey = (kind: CoefficientKind, part: keyof Coefficients): string =>
  kind === 'expansion' ? `${part}_per_K` : part;

/** With coefficients of expansion or swelling stated or changed. A roll with no step yet gets one in which nothing changes, since coefficients alone say nothing. */
export function setCoefficients(text: string, kind: CoefficientKind, values: Coefficients): string {
  const parts = ['along', 'through', 'core'] as const;
  const tidy = (x: number): number => Number(x.toPrecision(6));
  const map = Object.fromEntries(parts.map((p) => [coefficientKey(kind, p), tidy(values[p])]));
  if (valueAt(text, ['after_winding']) === undefined)
    return setValues(text, [
      [
        ['after_winding'],
        { [kind]: map, steps: [kind === 'expansion' ? { temperature_change_K: 0 } : { moisture_change: 0 }] },
      ],
    ]);
  const before = valueAt(text, ['after_winding', kind]) as Record<string, unknown> | undefined;
  if (before === undefined) return setValues(text, [[['after_winding', kind], map]]);
  return setValues(
    text,
    Object.entries(map)
      .filter(([key, value]) => before[key] !== value)
      .map(([key, value]) => [['after_winding', kind, key], value]),
  );
}
