import { TautlineError } from '../../errors.js';
import type { DesignLimits } from '../../program/roll/design/designTarget.js';
import type { LineLimits, NamedBound } from '../../program/roll/lineLimits/lineLimits.js';
import type { RollDocument } from './rollDocument.js';

const problem = (pointer: string, message: string, next: string): TautlineError =>
  new TautlineError('document_value', { pointer }, message, next);

/** The tighter of what the roll states and what its line gives, and its name; undefined where neither does. */
function tighter(
  side: 'low' | 'high',
  stated: number | undefined,
  ofLine: NamedBound | undefined,
): NamedBound | undefined {
  const own = stated === undefined ? undefined : { value: stated, name: 'stated in the roll' };
  if (own === undefined || ofLine === undefined) return own ?? ofLine;
  const isLineTighter = side === 'low' ? ofLine.value > own.value : ofLine.value < own.value;
  return isLineTighter ? ofLine : own;
}

/**
 * What a schedule may be designed within: what the document states and, where the roll has a line, what motors, drums, rollers and product allow; the tighter of both counts. The nip is changed only where the roll states limits or a schedule for it, the differential where the
 * roll has one and limits or a line are known.
 * @throws TautlineError document_value where the tension has no limits, or none are left
 */
export function toDesignLimits({ limits = {}, wind }: RollDocument, line?: LineLimits): DesignLimits {
  const low = tighter('low', limits.lowest_tension_N_per_m, line?.lowestTension);
  const high = tighter('high', limits.highest_tension_N_per_m, line?.highestTension);
  if (low === undefined || high === undefined)
    throw problem(
      'limits',
      `a schedule is designed between a lowest and a highest tension, and ${low === undefined && high === undefined ? 'they are' : `the ${low === undefined ? 'lowest' : 'highest'} is`} not stated${line === undefined ? '' : ' in the roll or its product'}`,
      'state limits.lowest_tension_N_per_m and limits.highest_tension_N_per_m, or give the roll a line and a product that do',
    );
  requireOrder('limits', 'tension', low, high);
  const hasNip = limits.highest_nip_N_per_m !== undefined || (wind.nip !== undefined && line !== undefined);
  const lowNip = tighter('low', limits.lowest_nip_N_per_m, line?.lowestNip) ?? { value: 0, name: 'no nip' };
  const highNip = tighter('high', limits.highest_nip_N_per_m, line?.highestNip);
  if (hasNip && highNip !== undefined) requireOrder('limits.highest_nip_N_per_m', 'nip', lowNip, highNip);
  const differentialShare = shareLimits(limits, wind, line);
  const slope = tighter('high', limits.slope_per_m, line?.steepest);
  return {
    tension: [low.value, high.value],
    ...(differentialShare && { differentialShare }),
    ...(hasNip && highNip !== undefined && { nip: [lowNip.value, highNip.value] as const }),
    ...(slope && { slope: slope.value }),
    ...(limits.highest_pressure_Pa !== undefined && { highestPressure: limits.highest_pressure_Pa }),
    ...(limits.highest_core_pressure_Pa !== undefined && {
      highestCorePressure: limits.highest_core_pressure_Pa,
    }),
    ...(line && {
      shares: line.shares,
      names: {
        lowestTension: low.name,
        highestTension: high.name,
        lowestNip: lowNip.name,
        ...(highNip && { highestNip: highNip.name }),
      },
    }),
  };
}

/** The lowest tension that roll and line allow, and what makes it; undefined where neither says [N/m]. */
export const lowestTension = ({ limits }: RollDocument, line?: LineLimits): NamedBound | undefined =>
  tighter('low', limits?.lowest_tension_N_per_m, line?.lowestTension);

/** The highest tension that roll and line allow, as {@link lowestTension} [N/m]. */
export const highestTension = ({ limits }: RollDocument, line?: LineLimits): NamedBound | undefined =>
  tighter('high', limits?.highest_tension_N_per_m, line?.highestTension);

function requireOrder(pointer: string, what: string, low: NamedBound, high: NamedBound): void {
  if (low.value < high.value) return;
  throw problem(
    pointer,
    `the lowest ${what} of ${low.value} N/m (${low.name}) is not below the highest of ${high.value} N/m (${high.name})`,
    `correct the limits of the ${what}`,
  );
}

/** Shares of the tension that the differential may be; what a line's motors and drums allow of them is judged at every diameter. */
function shareLimits(
  limits: NonNullable<RollDocument['limits']>,
  wind: RollDocument['wind'],
  line: LineLimits | undefined,
): readonly [number, number] | undefined {
  if (wind.torque_differential === undefined) return undefined;
  const ofLine = line === undefined ? undefined : 1;
  const low = limits.lowest_differential_share ?? (ofLine && -ofLine);
  const high = limits.highest_differential_share ?? ofLine;
  if (low === undefined || high === undefined) return undefined;
  if (low < high) return [low, high];
  throw problem(
    'limits.highest_differential_share',
    `the lowest share of ${low} is not below the highest of ${high}`,
    'correct the limits of the torque differential',
  );
}
