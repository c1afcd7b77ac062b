import type { LineDocument, SectionDocument } from '../../src/engine/project/line/lineDocument.js';
import { toLine } from '../../src/engine/project/line/toLine.js';

export const speed = { top_m_per_s: 5, acceleration_m_per_s2: 0.5, stop_m_per_s2: 0.4 };
/** Idlers of radius 0.05 in a zigzag from an unwind to a winder, 1 m wide. */
export function zigzag(
  idlers: Partial<SectionDocument>[],
  tension = 150,
  more: Partial<LineDocument> = {},
  mirror = 1,
) {
  const turns = (k: number): SectionDocument['turns'] =>
    (k % 2 === 0) === (mirror === 1) ? 'clockwise' : 'counter-clockwise';
  const at = (k: number): [number, number] => [mirror * k, k % 2 === 0 ? 0.5 : 0];
  return toLine({
    schema: 'tautline/line@1',
    name: 'test (invented)',
    web_width_m: 1,
    speed,
    sections: [
      {
        name: 'unwind',
        kind: 'unwind',
        centre_m: at(-1),
        diameter_m: 0.4,
        turns: turns(-1),
        tension_N_per_m: tension,
      },
      ...idlers.map(
        (idler, k): SectionDocument => ({
          name: `idler ${k + 1}`,
          kind: 'idler',
          centre_m: at(k),
          diameter_m: 0.1,
          turns: turns(k),
          inertia_kgm2: 0.02,
          drag: { coulomb_Nm: 0.105 },
          friction: 0.3,
          ...idler,
        }),
      ),
      {
        name: 'winder',
        kind: 'winder',
        type: 'centre',
        centre_m: at(idlers.length),
        diameter_m: 0.4,
        turns: turns(idlers.length),
      },
    ],
    ...more,
  });
}
