import type { Interval, RollerTug, TensionZone, TugBudget, TugPoint } from '../../line/tug/types.js';
import { tidy } from '../plain.js';

/** Both ends; null where one has no bound that is known. */
type BandDocument = readonly [low: number | null, high: number | null];

/** The rise of tension at one speed and acceleration; absent where a roller is not known. */
interface PointDocument {
  readonly speed_m_per_s: number;
  readonly acceleration_m_per_s2: number;
  readonly rise_N?: BandDocument;
}

/** What the web is asked to pull, zone by zone; what is not known is absent and named. */
export interface TugDocument {
  /** Sections that hold a step of tension, against what they can hold. */
  readonly grips: readonly { readonly section: string; readonly step_N: number; readonly grip_N: number }[];
  readonly zones: readonly {
    readonly from: string;
    readonly to: string;
    readonly tension_N?: number;
    readonly heldAt?: string;
    /** What drag and acceleration are judged against. */
    readonly lowestTension_N?: number;
    readonly drag_N: BandDocument;
    readonly acceleration_N: BandDocument;
    readonly stopping_N: BandDocument;
    readonly points: readonly PointDocument[];
    readonly unknown: readonly string[];
    readonly rollers: readonly {
      readonly name: string;
      readonly section: string;
      readonly carrier: string;
      readonly verdict: string;
      readonly reasons: readonly string[];
      readonly missing: readonly string[];
      readonly provisos: readonly string[];
      readonly wrap_rad?: number;
      readonly tensionBefore_N?: BandDocument;
      readonly drag_N?: BandDocument;
      readonly acceleration_N?: BandDocument;
      readonly stopping_N?: BandDocument;
      readonly film_m?: number;
      readonly frictionNeeded?: number;
      readonly friction?: number;
      /** Friction that is there over friction needed; absent where nothing is needed. */
      readonly reserve?: number;
      readonly worstWhen?: string;
      readonly accelerationBeforeSlip_m_per_s2?: number;
      readonly decelerationBeforeSlip_m_per_s2?: number;
      readonly helper?: {
        readonly torque_Nm: BandDocument;
        readonly start_Nm?: number;
        readonly power_W: BandDocument;
      };
      readonly points: readonly PointDocument[];
    }[];
  }[];
}

const orNull = (x: number): number | null => (Number.isFinite(x) ? tidy(x) : null);
const band = ({ low, high }: Interval): BandDocument => [orNull(low), orNull(high)];
const points = (all: readonly TugPoint[]): PointDocument[] =>
  all.map((p) => ({
    speed_m_per_s: tidy(p.speed),
    acceleration_m_per_s2: tidy(p.acceleration),
    ...(p.rise && { rise_N: band(p.rise) }),
  }));

/** A budget as a part of a document. */
export const toTugDocument = ({ zones, grips }: TugBudget): TugDocument => ({
  grips: grips.map((g) => ({ section: g.section, step_N: tidy(g.step), grip_N: tidy(g.grip) })),
  zones: zones.map(zoneDocument),
});

const zoneDocument = (zone: TensionZone): TugDocument['zones'][number] => ({
  from: zone.from,
  to: zone.to,
  ...(zone.tension !== undefined && { tension_N: tidy(zone.tension) }),
  ...(zone.heldAt !== undefined && { heldAt: zone.heldAt }),
  ...(zone.lowestTension !== undefined && { lowestTension_N: tidy(zone.lowestTension) }),
  drag_N: band(zone.drag),
  acceleration_N: band(zone.inertia),
  stopping_N: band(zone.stopping),
  points: points(zone.points),
  unknown: zone.unknown,
  rollers: zone.rollers.map(rollerDocument),
});

const rollerDocument = (t: RollerTug): TugDocument['zones'][number]['rollers'][number] => ({
  name: t.name,
  section: t.section,
  carrier: t.carrier,
  verdict: t.verdict,
  reasons: t.reasons,
  missing: t.missing,
  provisos: t.provisos,
  ...(t.wrap !== undefined && { wrap_rad: tidy(t.wrap) }),
  ...(t.tensionBefore && { tensionBefore_N: band(t.tensionBefore) }),
  ...(t.drag && { drag_N: band(t.drag) }),
  ...(t.inertia && { acceleration_N: band(t.inertia) }),
  ...(t.stopping && { stopping_N: band(t.stopping) }),
  ...(t.film !== undefined && { film_m: tidy(t.film) }),
  ...(t.frictionNeeded !== undefined && { frictionNeeded: tidy(t.frictionNeeded) }),
  ...(t.friction !== undefined && { friction: tidy(t.friction) }),
  ...(t.reserve !== undefined && Number.isFinite(t.reserve) && { reserve: tidy(t.reserve) }),
  ...(t.worstWhen !== undefined && { worstWhen: t.worstWhen }),
  ...(t.accelerationBeforeSlip !== undefined && {
    accelerationBeforeSlip_m_per_s2: tidy(t.accelerationBeforeSlip),
  }),
  ...(t.decelerationBeforeSlip !== undefined && {
    decelerationBeforeSlip_m_per_s2: tidy(t.decelerationBeforeSlip),
  }),
  ...(t.helper && {
    helper: {
      torque_Nm: band(t.helper.torque),
      ...(t.helper.start !== undefined && { start_Nm: tidy(t.helper.start) }),
      power_W: band(t.helper.power),
    },
  }),
  points: points(t.points),
});
