import type { FeedForward } from '../../feedforward/types.js';
import type { Comparison } from '../../identify/compare/comparison.js';
import type { Identification } from '../../identify/identification.js';
import type { LineCheck } from '../../line/check/lineCheck.js';
import type { Drive } from '../../line/drive.js';
import type { Line } from '../../line/line.js';
import type { TugBudget } from '../../line/tug/types.js';
import type { Product } from '../../program/product.js';
import type { ProgrammedLine } from '../../program/programmeLine.js';
import type { UnitSystem } from '../../units/quantity.js';
import type { ReportedRoll } from '../roll/rollSection.js';

/** One drive of the line with everything that is known about it. */
export interface CommissionedDrive {
  readonly drive: Drive;
  /** The latest: as left when there is a comparison, else as found. */
  readonly identification: Identification;
  readonly feedforward?: FeedForward;
  /** The earlier visit is as found, the later one as left. */
  readonly comparison?: Comparison;
}

/** The line itself with what follows from it. */
export interface CommissionedLine {
  readonly line: Line;
  readonly check: LineCheck;
  /** For the first product; undefined while the line states no speed. */
  readonly tug?: TugBudget;
  readonly products: readonly { readonly product: Product; readonly programmed: ProgrammedLine }[];
}

export interface CommissioningInput {
  readonly lineName: string;
  /** True: the report says at its top that all data are invented. */
  readonly invented?: boolean;
  /** As it is to be printed; the engine knows no clock. */
  readonly date: string;
  readonly units: UnitSystem;
  /** Driven sections that are not in the report, each with the reason and what to do. */
  readonly missing?: readonly { readonly section: string; readonly why: string; readonly next: string }[];
  /** The line as described and measured, with the programs of its products. */
  readonly line?: CommissionedLine;
  /** Rolls of the folder with what winding leaves in them. */
  readonly rolls?: readonly ReportedRoll[];
  /** In web order. */
  readonly drives: readonly CommissionedDrive[];
}
