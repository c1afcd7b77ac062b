import type { Angle, Length, Mass, Tension } from '../../units/quantity.js';
import { webLoad } from '../idler.js';
import type { Line } from '../line.js';
import type { WebPath } from '../path/webPath.js';

/** Standard gravity [m/s²], 3rd CGPM 1901. */
const gravity = 9.80665;

/** A force that follows from the tension that the line states, or the tension that follows from a force. */
export interface LineLoad {
  readonly section: string;
  readonly kind: 'load cell' | 'dancer' | 'carriage';
  /** Of the web on the roller's bearings, of the loading on the dancer, or what holds the carriage [N]. */
  readonly force: Tension;
  /** Tension of the web that belongs to it [N]. */
  readonly tension: Tension;
}

/**
 * Tension that a dancer holds, F/(2·sin(β/2)) [N]. F force that loads its roller along the bisector of the wrap [N], β wrap [rad]. Source: balance of
 * the roller between two equal pulls.
 */
export const dancerTension = (force: Tension, wrap: Angle): Tension => force / (2 * Math.sin(0.5 * wrap));

/**
 * Force that holds the carriage of an accumulator, N·T + m·g [N], at rest and without friction. N strands [1], T tension in each [N], m mass of the
 * carriage [kg]; negative `height` [m]: a carriage that hangs below, whose weight helps to hold it. Source: balance of the carriage.
 */
export const carriageForce = (strands: number, tension: Tension, mass: Mass, height: Length): Tension =>
  strands * tension + Math.sign(height) * mass * gravity;

/** Loads of load cells, dancers and carriages at the tensions that a line states, wraps as drawn [N]. Source: docs/models/traction-and-air.md. */
export function lineLoads(line: Line, path: WebPath | undefined): LineLoad[] {
  const { webWidth } = line;
  const wraps = new Map((path?.wraps ?? []).map((w) => [w.name, w.wrap]));
  let perWidth: number | undefined;
  return line.sections.flatMap((section): LineLoad[] => {
    const tension = perWidth === undefined || webWidth === undefined ? undefined : perWidth * webWidth;
    perWidth = section.tensionAfter ?? perWidth;
    const wrap = wraps.get(section.rollers[0]?.name ?? '');
    const load = (kind: LineLoad['kind'], force: Tension, at: Tension): LineLoad[] =>
      Number.isFinite(force + at) ? [{ section: section.name, kind, force, tension: at }] : [];
    switch (section.kind) {
      case 'load-cell':
        return tension === undefined || wrap === undefined
          ? []
          : load('load cell', webLoad(tension, tension, wrap), tension);
      case 'dancer':
        return section.force === undefined || wrap === undefined
          ? []
          : load('dancer', section.force, dancerTension(section.force, wrap));
      case 'accumulator':
        return tension === undefined || section.carriageMass === undefined
          ? []
          : load(
              'carriage',
              carriageForce(section.strands, tension, section.carriageMass, section.carriageHeight),
              tension,
            );
      default:
        return [];
    }
  });
}
