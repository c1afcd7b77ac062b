import type { Length, Ratio, Tension, Torque } from '../../units/quantity.js';

/** Friction of a deep groove ball bearing at its bore [1], from memory. */
export const ballBearingFriction: Ratio = 0.0015;

/**
 * Drag of one bearing by a friction at its bore, ½·μ·F·d [N·m]. μ friction [1], F load [N], d bore [m]. Valid: light lubrication, about a tenth of the load
 * rating; speed is left out. Source: common estimate, from memory.
 */
export const frictionDrag = (bore: Length, load: Tension, friction: Ratio = ballBearingFriction): Torque =>
  0.5 * friction * load * bore;
