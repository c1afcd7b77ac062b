/** Above this g·Δx nothing of an increment is left at the other end of a cell; e to the power of it is still a number. */
export const opaque = 200;

/** Below this (g·Δx)² the series of z/sinh z and z·coth z is right to 1e-11. */
const seriesLimit = 0.05;

/** √q/sinh √q [1]: coefficient of the neighbour in a cell with (g·Δx)² = q [1], between whose ends Q″ = g²·Q. Source: its exact solution. */
export const neighbourTerm = (q: number): number =>
  q < seriesLimit
    ? 1 - q * (1 / 6 - q * (7 / 360 - q * (31 / 15120 - q * (127 / 604800))))
    : Math.sqrt(q) / Math.sinh(Math.sqrt(q));

/** √q·coth √q [1]: coefficient of the interface itself, as {@link neighbourTerm}. Source: as there. */
export const ownTerm = (q: number): number =>
  q < seriesLimit
    ? 1 + q * (1 / 3 - q * (1 / 45 - q * (2 / 945 - q / 4725)))
    : Math.sqrt(q) / Math.tanh(Math.sqrt(q));
