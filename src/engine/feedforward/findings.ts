import type { Finding } from '../findings.js';
import type { Identification } from '../identify/identification.js';
import type { Drive } from '../line/drive.js';
import type { FeedForwardTable } from './types.js';

const test =
  'record the drive without web: plateaus at four or more speeds up to top speed, ramps at two rates, a coast-down and slow torque ramps from rest';

const whyMissing = (id: Identification, name: 'inertia' | 'coulomb' | 'breakaway'): string =>
  id.notEstimated.find((n) => n.name === name)?.why ?? 'the identification does not state it';

/** No drag law, no table: nothing is filled in. */
export function dragMissing(id: Identification): Finding {
  const refuse = (code: Finding['code'], message: string): Finding => ({
    code,
    severity: 'refuse',
    message,
    where: {},
    next: test,
  });
  if (id.apparentDragCurve !== undefined)
    return refuse(
      'web_on',
      'the drag was seen with the web on only: it holds what the web pulls, so it is no feed-forward',
    );
  if ((id.dragCurve?.length ?? 0) > 0)
    return refuse(
      'one_speed_only',
      'the drag is known at single speeds only: there is no curve to make a table from',
    );
  return refuse('no_designed_test', `the drag was not estimated: ${whyMissing(id, 'coulomb')}`);
}

export function inertiaMissing(id: Identification): Finding {
  const varies = id.inertiaOverDiameter !== undefined;
  return {
    code: varies ? 'inertia_varies' : 'inertia_not_identifiable',
    severity: 'refuse',
    message: `the inertia was not estimated: ${whyMissing(id, 'inertia')}; the torque for acceleration is left open`,
    where: {},
    next: varies ? 'compute the inertia of the roll from its diameter, width and density' : test,
  };
}

export function breakawayMissing(id: Identification, direction: string): Finding {
  return {
    code: 'no_breakaway_test',
    severity: 'info',
    message: `no assist at start ${direction}: ${whyMissing(id, 'breakaway')}`,
    where: {},
    next: 'raise the torque slowly from rest until the roller turns, three times or more',
  };
}

export function breakawayBelowDrag(direction: string, breakaway: number, standstill: number): Finding {
  return {
    code: 'model_misfit',
    severity: 'warn',
    message: `no assist at start ${direction}: the breakaway torque of ${breakaway.toPrecision(3)} N·m is not above the ${standstill.toPrecision(3)} N·m that the drag law gives at standstill`,
    where: { breakaway_Nm: breakaway, standstill_Nm: standstill },
    next: 'look at the torque ramps from rest: the offset of the torque signal and the temperature must be those of the drag test',
  };
}

/** Speeds in use that the recording did not reach. */
export function speedNotReached(direction: string, highest: number, top: number): Finding {
  return {
    code: 'low_speed_only',
    severity: 'warn',
    message: `the table ${direction} ends at ${highest.toPrecision(4)} rad/s: up to ${top.toPrecision(4)} rad/s the drag was not seen and is not filled in`,
    where: { highest_rad_per_s: highest, top_rad_per_s: top },
    next: 'record plateaus up to top speed',
  };
}

/** The first demand beyond the torque limit, largest first; undefined when there is none or no limit is known. */
export function torqueLimitFinding(tables: readonly FeedForwardTable[], drive: Drive): Finding | undefined {
  if (drive.ratedTorque === undefined || drive.torqueLimit === undefined) return undefined;
  const limit = drive.ratedTorque * drive.torqueLimit;
  const demands = tables.flatMap(({ rows, assist }) => [
    ...rows.flatMap((r) => [
      { torque: r.torque, speed: r.speed, when: 'at steady speed' },
      { torque: r.accelerating, speed: r.speed, when: 'while speeding up' },
      { torque: r.decelerating, speed: r.speed, when: 'while slowing down' },
    ]),
    ...(assist === undefined
      ? []
      : [
          {
            torque: (rows[0].accelerating ?? rows[0].torque) + assist.torque,
            speed: 0,
            when: 'at the start',
          },
        ]),
  ]);
  let worst: { torque: number; speed: number; when: string } | undefined;
  for (const { torque, speed, when } of demands)
    if (torque !== undefined && Math.abs(torque) > Math.abs(worst?.torque ?? limit))
      worst = { torque, speed, when };
  if (worst === undefined) return undefined;
  return {
    code: 'torque_limit',
    severity: 'warn',
    message: `${when(worst)} the feed-forward asks for ${worst.torque.toPrecision(3)} N·m; the torque limit is ${limit.toPrecision(3)} N·m`,
    where: { torque_Nm: worst.torque, limit_Nm: limit, speed_rad_per_s: worst.speed },
    next: 'accelerate more slowly, or check torque limit and rated torque in the drive file',
  };
}

const when = (d: { readonly when: string; readonly speed: number }): string =>
  d.speed === 0 ? d.when : `${d.when} at ${d.speed.toPrecision(3)} rad/s`;
