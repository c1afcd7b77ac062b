import type { Band, RollBand } from '../../program/roll/rollBand.js';
import { plain, tidy } from '../plain.js';
import { type SpreadDocument, toSpreadDocument } from './uncertaintyDocument.js';

interface BandDocument {
  readonly low: readonly number[];
  readonly middle: readonly number[];
  readonly high: readonly number[];
}

/** What a roll may hold, given how uncertain its web is: 95 % of the rolls lie between low and high. */
export interface RollBandDocument {
  readonly rolls: number;
  readonly seed: number;
  readonly spread: SpreadDocument;
  readonly radius_m: readonly number[];
  readonly pressure_Pa: BandDocument;
  readonly hoopStress_Pa: BandDocument;
  readonly smallestSlipMargin?: { readonly low: number; readonly middle: number; readonly high: number };
  readonly slipShare?: number;
}

/** A band as a document. */
export function toRollBandDocument(band: RollBand): RollBandDocument {
  const list = (values: Float64Array): number[] => Array.from(values, tidy);
  const bandOf = ({ low, middle, high }: Band): BandDocument => ({
    low: list(low),
    middle: list(middle),
    high: list(high),
  });
  const { smallestSlip: slip } = band;
  return plain({
    rolls: band.rolls,
    seed: band.seed,
    spread: toSpreadDocument(band.spread),
    radius_m: list(band.radius),
    pressure_Pa: bandOf(band.pressure),
    hoopStress_Pa: bandOf(band.hoopStress),
    ...(slip &&
      Number.isFinite(slip.high) && {
        smallestSlipMargin: { low: tidy(slip.low), middle: tidy(slip.middle), high: tidy(slip.high) },
      }),
    ...(band.slipShare !== undefined && { slipShare: tidy(band.slipShare) }),
  });
}
