import type { Band, RollerTug, TensionZone, TugBudget } from '../../line/tug/types.js';
import { tidy } from '../plain.js';

type BandDocument = readonly [low: number, high: number];

/** What the web is asked to pull, zone by zone; what is not known is absent and named. */
export interface TugDocument {
  /** Sections that hold a step of tension, against what they can hold. */
  readonly grips: readonly { readonly section: string; readonly step_N: number; readonly grip_N: number }[];
  readonly zones: readonly {
    readonly from: string;
    readonly to: string;
    readonly tension_N?: number;
    readonly drag_N: BandDocument;
    readonly acceleration_N: number;
    readonly unknown: readonly string[];
    readonly rollers: readonly {
      readonly name: string;
      readonly section: string;
      readonly carrier: string;
      readonly verdict: string;
      readonly reasons: readonly string[];
      readonly wrap_rad?: number;
      readonly tensionBefore_N?: BandDocument;
      readonly drag_N?: BandDocument;
      readonly acceleration_N?: number;
      readonly frictionNeeded?: number;
      readonly friction?: number;
      /** Friction that is there over friction needed; absent where nothing is needed. */
      readonly reserve?: number;
      readonly accelerationBeforeSlip_m_per_s2?: number;
      readonly helper?: {
        readonly torque_Nm: BandDocument;
        readonly start_Nm?: number;
        readonly power_W: BandDocument;
      };
      readonly points: readonly {
        readonly speed_m_per_s: number;
        readonly acceleration_m_per_s2: number;
        readonly rise_N?: BandDocument;
      }[];
    }[];
  }[];
}

const band = ({ low, high }: Band): BandDocument => [tidy(low), tidy(high)];

/** A budget as a part of a document. */
export const toTugDocument = ({ zones, grips }: TugBudget): TugDocument => ({
  grips: grips.map((g) => ({ section: g.section, step_N: tidy(g.step), grip_N: tidy(g.grip) })),
  zones: zones.map(zoneDocument),
});

const zoneDocument = (zone: TensionZone): TugDocument['zones'][number] => ({
  from: zone.from,
  to: zone.to,
  ...(zone.tension !== undefined && { tension_N: tidy(zone.tension) }),
  drag_N: band(zone.drag),
  acceleration_N: tidy(zone.inertia),
  unknown: zone.unknown,
  rollers: zone.rollers.map(rollerDocument),
});

const rollerDocument = (t: RollerTug): TugDocument['zones'][number]['rollers'][number] => ({
  name: t.name,
  section: t.section,
  carrier: t.carrier,
  verdict: t.verdict,
  reasons: t.reasons,
  ...(t.wrap !== undefined && { wrap_rad: tidy(t.wrap) }),
  ...(t.tensionBefore && { tensionBefore_N: band(t.tensionBefore) }),
  ...(t.drag && { drag_N: band(t.drag) }),
  ...(t.inertia !== undefined && { acceleration_N: tidy(t.inertia) }),
  ...(t.frictionNeeded !== undefined && { frictionNeeded: tidy(t.frictionNeeded) }),
  ...(t.friction !== undefined && { friction: tidy(t.friction) }),
  ...(t.reserve !== undefined && Number.isFinite(t.reserve) && { reserve: tidy(t.reserve) }),
  ...(t.accelerationBeforeSlip !== undefined && {
    accelerationBeforeSlip_m_per_s2: tidy(t.accelerationBeforeSlip),
  }),
  ...(t.helper && {
    helper: {
      torque_Nm: band(t.helper.torque),
      ...(t.helper.start !== undefined && { start_Nm: tidy(t.helper.start) }),
      power_W: band(t.helper.power),
    },
  }),
  points: t.points.map((p) => ({
    speed_m_per_s: tidy(p.speed),
    acceleration_m_per_s2: tidy(p.acceleration),
    ...(p.rise && { rise_N: band(p.rise) }),
  })),
});
