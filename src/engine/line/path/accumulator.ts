import { TautlineError } from '../../errors.js';
import type { Length, WebLength } from '../../units/quantity.js';
import type { PathCircle, Point, Sense } from './circle.js';
import { tangentBetween } from './tangent.js';

/**
 * An accumulator: the web runs up and down between fixed rollers and those of a carriage. The first and last rollers are fixed, so
 * the number of strands is even.
 */
export interface AccumulatorGeometry {
  /** Name of the section; its rollers are called "NAME fixed 1", "NAME carriage 1", and so on. */
  readonly name: string;
  /** Centre of the fixed roller at which the web comes in. */
  readonly entry: Point;
  /** Distance along x from one roller to the next, fixed to carriage; below 0 when the web travels to the left. */
  readonly pitch: Length;
  readonly strands: number;
  readonly fixedRadius: Length;
  readonly carriageRadius: Length;
}

function requireAccumulator({ name, pitch, strands }: AccumulatorGeometry): void {
  if (!(Number.isInteger(strands) && strands >= 2 && strands % 2 === 0))
    throw new TautlineError(
      'argument_invalid',
      { name, strands },
      `accumulator "${name}" has ${strands} strands`,
      'state an even number from 2 on: the web comes in and leaves at fixed rollers',
    );
  if (!(pitch !== 0 && Number.isFinite(pitch)))
    throw new TautlineError(
      'argument_invalid',
      { name, pitch },
      `accumulator "${name}" has a pitch of ${pitch} m`,
      'state the distance along x from a fixed roller to the next one of the carriage',
    );
}

/**
 * Rollers of an accumulator in web order, with the centres of the carriage's rollers at `carriageHeight` above the fixed ones [m]
 * (below 0: a carriage that hangs underneath). The web runs round the outer side of every roller.
 * @throws TautlineError argument_invalid
 * Source: geometry.
 */
export function accumulatorCircles(accumulator: AccumulatorGeometry, carriageHeight: Length): PathCircle[] {
  requireAccumulator(accumulator);
  const { name, entry, pitch, strands } = accumulator;
  const carriageSense: Sense = pitch * carriageHeight > 0 ? -1 : 1;
  return Array.from({ length: strands + 1 }, (_, i): PathCircle => {
    const isFixed = i % 2 === 0;
    return {
      name: `${name} ${isFixed ? 'fixed' : 'carriage'} ${Math.floor(i / 2) + 1}`,
      section: name,
      centre: { x: entry.x + i * pitch, y: entry.y + (isFixed ? 0 : carriageHeight) },
      radius: isFixed ? accumulator.fixedRadius : accumulator.carriageRadius,
      sense: isFixed ? (-carriageSense as Sense) : carriageSense,
    };
  });
}

/**
 * Length of one strand at a carriage height [m], L = √(p² + h² - (R1 + R2)²). p pitch, h carriage height, R1, R2 radii [m]. NaN where
 * the carriage stands so low that its rollers touch the fixed ones. Source: tangent between rollers of opposite sense.
 */
export const strandLength = (a: AccumulatorGeometry, carriageHeight: Length): Length =>
  Math.sqrt(a.pitch ** 2 + carriageHeight ** 2 - (a.fixedRadius + a.carriageRadius) ** 2);

/**
 * Web in the accumulator at a carriage height [m]: N strands and the wraps between them, from the tangent point on the entry roller to
 * that on the exit roller, N·L + (N/2·R_carriage + (N/2 - 1)·R_fixed)·wrap. It grows by nearly N metres a metre of carriage travel.
 * NaN as strandLength. @throws TautlineError argument_invalid
 * Source: geometry; every roller between the first and the last has the same wrap.
 */
export function storedLength(a: AccumulatorGeometry, carriageHeight: Length): WebLength {
  const [entry, carriage] = accumulatorCircles(a, carriageHeight) as [PathCircle, PathCircle];
  const strand = tangentBetween(entry, carriage);
  if (!strand.isPossible) return Number.NaN;
  // Up and down strands are mirror images, so the wrap is twice the slope of a strand.
  const wrap =
    2 * Math.abs(Math.atan2(Math.sin(strand.heading), Math.cos(strand.heading) * Math.sign(a.pitch)));
  const half = a.strands / 2;
  return a.strands * strand.length + (half * a.carriageRadius + (half - 1) * a.fixedRadius) * wrap;
}
