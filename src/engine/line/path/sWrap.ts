import type { Length } from '../../units/quantity.js';
import type { PathCircle, Point, Sense } from './circle.js';

/** An S-wrap: two rollers that the web runs round in opposite senses. */
export interface SWrap {
  /** Name of the section; its rollers are called "NAME 1" and "NAME 2". */
  readonly name: string;
  readonly centres: readonly [Point, Point];
  readonly radii: readonly [Length, Length];
  /** Sense of the first roller; the second turns the other way. */
  readonly sense: Sense;
}

/** The two rollers of an S-wrap in web order [m]. Source: definition. */
export const sWrapCircles = ({ name, centres, radii, sense }: SWrap): [PathCircle, PathCircle] => [
  { name: `${name} 1`, section: name, centre: centres[0], radius: radii[0], sense },
  { name: `${name} 2`, section: name, centre: centres[1], radius: radii[1], sense: sense === 1 ? -1 : 1 },
];
