import type { Length, Ratio } from '../units/quantity.js';

/** One limit of a program and where in the build it is tightest. */
export interface ProgramLimit {
  readonly name: string;
  /** What is left to the limit as a share of it; negative when it is broken. */
  readonly margin: Ratio;
  readonly diameter: Length;
  /** Value and limit where it is tightest, in the limit's own unit. */
  readonly value: number;
  readonly limit: number;
  /** Unit of value and limit: force per width, torque, speed, or none. */
  readonly unit: 'N_per_m' | 'Nm' | 'rad_per_s' | 'per_m';
}

/**
 * What is left of a value to a limit, as a share of the limit: (L − x)/|L| where x must stay below, (x − L)/|L| where it must stay above [1].
 * For a limit of 0 the value itself counts, with its sign. x, L in one unit. Source: definition.
 */
export function relativeMargin(value: number, limit: number, side: 'below' | 'above'): Ratio {
  const left = side === 'below' ? limit - value : value - limit;
  return limit === 0 ? left : left / Math.abs(limit);
}

/** Follows one limit over the build and keeps its tightest place. */
export class LimitWatch {
  private tightest: ProgramLimit | undefined;

  constructor(
    private readonly name: string,
    private readonly side: 'below' | 'above',
    private readonly unit: ProgramLimit['unit'],
  ) {}

  /** A value against its limit at a diameter [m]; without a limit nothing is kept. */
  see(diameter: Length, value: number | undefined, limit: number | undefined): void {
    if (value === undefined || limit === undefined || !Number.isFinite(value) || !Number.isFinite(limit))
      return;
    const margin = relativeMargin(value, limit, this.side);
    if (this.tightest !== undefined && margin >= this.tightest.margin) return;
    this.tightest = { name: this.name, margin, diameter, value, limit, unit: this.unit };
  }

  /** The tightest place; nothing when the limit never applied. */
  result(): readonly ProgramLimit[] {
    return this.tightest === undefined ? [] : [this.tightest];
  }
}
