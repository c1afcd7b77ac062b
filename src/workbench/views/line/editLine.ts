import type { LineDocument, RollerDocument } from '../../../engine/project/line/lineDocument.js';
import type { Length, QuantityKey } from '../../../engine/units/quantity.js';
import { insertItem, type Path, removeNode, setValues } from '../../yaml/patch.js';
import { inUnit, statedKey, valueAt } from '../../yaml/stated.js';

/** Where a circle of the side view is stated, and how far its centre is from the one stated there (rollers of an accumulator). */
export interface RollerPlace {
  readonly path: Path;
  readonly section: number;
}

/** The place in line.yaml of a circle by its name, as toLine names circles; undefined for a name that is none. */
export function placeOf(document: LineDocument, circle: string): RollerPlace | undefined {
  for (const [section, s] of document.sections.entries()) {
    const own = { path: ['sections', section], section };
    if (circle === s.name) return own;
    if (!circle.startsWith(`${s.name} `)) continue;
    const rest = circle.slice(s.name.length + 1);
    if (rest === 'rear drum') return { path: ['sections', section, 'rear_drum'], section };
    if (rest === 'front drum') return { path: ['sections', section, 'front_drum'], section };
    if (rest === 'drum') return { path: ['sections', section, 'drum'], section };
    if (s.kind === 'pull-roll' && s.rollers !== undefined && /^\d+$/.test(rest)) {
      const k = Number(rest);
      if (k === 1) return own;
      if (k <= s.rollers.length + 1) return { path: ['sections', section, 'rollers', k - 2], section };
    }
    if (s.kind === 'accumulator') return own;
  }
  return undefined;
}

/** What is stated at a place, in SI. */
export function rollerAt(document: LineDocument, { path }: RollerPlace): RollerDocument | undefined {
  let at: unknown = document;
  for (const key of path) at = (at as Record<string | number, unknown> | undefined)?.[key];
  return at as RollerDocument | undefined;
}

/** Centres are written to a tenth of a millimetre: no roller is set up finer. */
const finest: Length = 1e-4;

/** A text with a roller's centre moved to [m], in the unit in which the text states it. */
export function moveRoller(text: string, path: Path, [x, y]: readonly [Length, Length]): string {
  const map = mapAt(text, path);
  const stated = statedKey(map, 'centre_', 'length');
  if (stated === undefined) return setCentre(text, path, [x, y]);
  return setValues(text, [
    [[...path, stated.key, 0], inUnit(x, stated.unit, finest)],
    [[...path, stated.key, 1], inUnit(y, stated.unit, finest)],
  ]);
}

const rounded = (x: number): number => Number(x.toFixed(4));

function setCentre(text: string, path: Path, [x, y]: readonly [number, number]): string {
  const holder = setValues(text, [[[...path, 'centre_m'], 'here']]);
  return holder.replace('centre_m: here', `centre_m: [${rounded(x)}, ${rounded(y)}]`);
}

/** A text with the roller turning the other way, so that the web wraps it from the other side. */
export function flipWrap(text: string, path: Path): string {
  const turns = (mapAt(text, path) as { turns?: string }).turns;
  return setValues(text, [[[...path, 'turns'], turns === 'clockwise' ? 'counter-clockwise' : 'clockwise']]);
}

/** Quantities of a roller or section that the panel offers, by the part of the key before its unit. */
export const editable = {
  diameter_: { quantity: 'length', step: 1e-5, siKey: 'diameter_m' },
  face_width_: { quantity: 'length', step: 1e-4, siKey: 'face_width_m' },
  core_diameter_: { quantity: 'length', step: 1e-5, siKey: 'core_diameter_m' },
  full_diameter_: { quantity: 'length', step: 1e-5, siKey: 'full_diameter_m' },
  carriage_height_: { quantity: 'length', step: 1e-4, siKey: 'carriage_height_m' },
  pitch_: { quantity: 'length', step: 1e-4, siKey: 'pitch_m' },
  tension_: { quantity: 'tensionPerWidth', step: 0.1, siKey: 'tension_N_per_m' },
  nip_force_: { quantity: 'tensionPerWidth', step: 0.1, siKey: 'nip_force_N_per_m' },
  force_: { quantity: 'tension', step: 0.01, siKey: 'force_N' },
} as const satisfies Record<string, { quantity: QuantityKey; step: number; siKey: string }>;
export type EditableStem = keyof typeof editable;

/** A text with a quantity set [SI], in the unit in which the text states it; SI where it does not yet. */
export function setQuantity(text: string, path: Path, stem: EditableStem, si: number): string {
  const { quantity, step, siKey } = editable[stem];
  const stated = statedKey(mapAt(text, path), stem, quantity);
  return setValues(text, [
    stated === undefined
      ? [[...path, siKey], Number(si.toPrecision(9))]
      : [[...path, stated.key], inUnit(si, stated.unit, step)],
  ]);
}

/** A text with an idler put in behind a section, between it and the next. The name is one that is free. */
export function addIdler(
  text: string,
  document: LineDocument,
  after: number,
): { text: string; name: string } {
  const names = new Set(document.sections.map((s) => s.name));
  let n = 1;
  while (names.has(`idler ${n}`)) n++;
  const [a, b] = [document.sections[after], document.sections[after + 1]];
  const from = a?.centre_m ?? [0, 0];
  const to = b?.centre_m ?? [from[0] + 1, from[1]];
  const alike = document.sections.find((s) => s.kind === 'idler');
  const name = `idler ${n}`;
  const section = {
    name,
    kind: 'idler',
    // above the straight way, so that the web has to come to it
    centre_m: [rounded((from[0] + to[0]) / 2), rounded(Math.max(from[1], to[1]) + 0.3)],
    ...(alike === undefined ? { diameter_m: 0.15 } : { like: alike.name }),
    turns: 'clockwise',
  };
  return { text: insertItem(text, ['sections'], after + 1, section), name };
}

/** What keeps a section from being taken out, or undefined. */
export function whyNeeded(document: LineDocument, index: number): string | undefined {
  if (document.sections.length === 1) return 'a line has at least one section';
  const name = document.sections[index]?.name;
  const user = document.sections.find(
    (s) =>
      [s, ...(s.rollers ?? [])].some((r) => r.like === name) ||
      [s.drum, s.rear_drum, s.front_drum].includes(name),
  );
  return user === undefined ? undefined : `${user.name} refers to it`;
}

export const removeSection = (text: string, index: number): string => removeNode(text, ['sections', index]);

const mapAt = (text: string, path: Path): object => {
  const found = valueAt(text, path);
  if (typeof found !== 'object' || found === null) throw new Error(`there is no ${path.join('.')}`);
  return found;
};
