import { formatQuantity } from '../../units/format.js';

import type { Angle, Length, UnitSystem } from '../../units/quantity.js';
import type { Point } from './circle.js';

/** What keeps a web from running as drawn. Names are those of circles. */
export type PathProblem =
  /** The rollers stand too close, by `missing`, for a web between them on the stated sides. */
  | {
      readonly kind: 'impossible-tangent';
      readonly from: string;
      readonly to: string;
      readonly missing: Length;
      readonly at: Point;
    }
  | { readonly kind: 'wrap-too-large'; readonly name: string; readonly wrap: Angle; readonly at: Point }
  | {
      readonly kind: 'overlap';
      readonly names: readonly [string, string];
      readonly depth: Length;
      readonly at: Point;
    }
  /** A span runs through a roller that is neither of its ends; `clearance` is below the one asked for, negative inside. */
  | {
      readonly kind: 'span-through-roller';
      readonly from: string;
      readonly to: string;
      readonly roller: string;
      readonly clearance: Length;
      readonly at: Point;
    }
  | {
      readonly kind: 'spans-cross';
      readonly first: readonly [from: string, to: string];
      readonly second: readonly [from: string, to: string];
      readonly at: Point;
    }
  /** A roll on two drums is so small that it falls between them: their distance is too large by `missing`. */
  | {
      readonly kind: 'roll-between-drums';
      readonly roll: string;
      readonly drums: readonly [string, string];
      readonly missing: Length;
      readonly at: Point;
    };

/** A problem in words: what is wrong, with the number, and the one action that helps. */
export function problemWords(problem: PathProblem, system: UnitSystem): { message: string; next: string } {
  const length = (value: Length): string => formatQuantity(value, 'length', system);
  switch (problem.kind) {
    case 'impossible-tangent':
      return {
        message: `the web cannot run from "${problem.from}" to "${problem.to}": they stand ${length(problem.missing)} too close for the sides that their senses of rotation ask for`,
        next: 'correct a centre or a diameter, or turn one of them the other way',
      };
    case 'wrap-too-large':
      return {
        message: `the web wraps "${problem.name}" by ${((problem.wrap * 180) / Math.PI).toFixed(0)}°, which is more than 270°`,
        next: `check the side of the wrap: "${problem.name}" most likely turns the other way`,
      };
    case 'overlap':
      return {
        message: `"${problem.names[0]}" and "${problem.names[1]}" overlap by ${length(problem.depth)}`,
        next: 'correct a centre or a diameter; if they are meant to touch, state the nip between them',
      };
    case 'span-through-roller':
      return {
        message:
          `the web from "${problem.from}" to "${problem.to}" ` +
          (problem.clearance < 0
            ? `runs ${length(-problem.clearance)} deep through "${problem.roller}"`
            : `clears "${problem.roller}" by only ${length(problem.clearance)}`),
        next: `if the web touches "${problem.roller}", put it between the two in web order; otherwise correct its centre`,
      };
    case 'spans-cross':
      return {
        message: `the web crosses itself: "${problem.first[0]}" to "${problem.first[1]}" and "${problem.second[0]}" to "${problem.second[1]}"`,
        next: 'check the order of the sections and the senses of rotation',
      };
    case 'roll-between-drums':
      return {
        message: `"${problem.roll}" falls between "${problem.drums[0]}" and "${problem.drums[1]}": they stand ${length(problem.missing)} too far apart for its radius`,
        next: 'correct the core diameter, or move the drums closer together',
      };
  }
}
