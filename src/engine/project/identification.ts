import type { Where } from '../errors.js';
import type { Finding, Verdict } from '../findings.js';
import {
  type BreakawayEvent,
  type DragPoint,
  type Estimate,
  type Estimates,
  type Identification,
  type ParameterName,
  parameterNames,
  type SegmentKind,
} from '../identify/identification.js';
import type { Source } from '../recording/recording.js';
import type { DriveDocument } from './drive.js';
import { plain, tidy } from './plain.js';

/** Keys of the estimates at the edge: name and unit. */
export const estimateKeys = {
  inertia: 'inertia_kgm2',
  coulomb: 'coulomb_Nm',
  viscous: 'viscous_Nms',
  quadratic: 'quadratic_Nms2',
  stribeck: 'stribeck_Nm',
  stribeckSpeed: 'stribeckSpeed_rad_per_s',
  breakaway: 'breakaway_Nm',
  offset: 'offset_Nm',
} as const satisfies Record<ParameterName, string>;

export type EstimateKey = (typeof estimateKeys)[ParameterName];
export type EstimatesDocument = Partial<Record<EstimateKey, Estimate>>;

export interface DragPointDocument {
  readonly speed_rad_per_s: number;
  readonly torque_Nm: number;
  readonly halfWidth95_Nm: number;
  readonly from: DragPoint['from'];
  /** Place in `segments` of the plateau that it was measured on. */
  readonly segment?: number;
}

/** `tautline/identification@1`: what `tautline identify` prints, everything at the motor shaft unless named otherwise. */
export interface IdentificationDocument {
  readonly schema: 'tautline/identification@1';
  readonly name: string;
  readonly verdict: Verdict;
  readonly findings: readonly Finding[];
  readonly channels: readonly { role: string; header: string; unit: string; delay_s: number }[];
  readonly segments: readonly {
    kind: SegmentKind;
    from_s: number;
    to_s: number;
    why: string;
    used: boolean;
  }[];
  /** Direction of rotation of `estimates` and `dragCurve`. */
  readonly direction?: 'forward' | 'reverse';
  readonly estimates: EstimatesDocument;
  /** δ in the Stribeck term exp(-(ω/ωs)^δ); only with a Stribeck estimate, 1 when left out. */
  readonly stribeckExponent?: 1 | 2;
  readonly notEstimated: readonly { name: EstimateKey; why: string; next: string }[];
  readonly reverse?: { readonly estimates: EstimatesDocument };
  readonly symmetric?: { readonly estimates: EstimatesDocument };
  readonly covariance?: {
    readonly names: readonly EstimateKey[];
    readonly matrix: readonly (readonly number[])[];
  };
  readonly dragCurve?: readonly DragPointDocument[];
  readonly dragCurveReverse?: readonly DragPointDocument[];
  readonly apparentDragCurve?: readonly DragPointDocument[];
  /** Inertia from a ramp up and a ramp down alone; `up` and `down` are places in `segments`. */
  readonly rampPairs?: readonly {
    readonly up: number;
    readonly down: number;
    readonly direction: 1 | -1;
    readonly inertia_kgm2: Estimate;
  }[];
  readonly dragOverInertia?: readonly { speed_rad_per_s: number; deceleration_rad_per_s2: number }[];
  readonly inertiaOverDiameter?: readonly { diameter_m: number; inertia_kgm2: number }[];
  readonly rollDensity_kgm3?: Estimate;
  readonly breakawayEvents?: readonly {
    time_s: number;
    torque_Nm: number;
    direction: 1 | -1;
    dwell_s: number;
    rate_Nm_per_s: number;
  }[];
  readonly speedRange_rad_per_s?: readonly [number, number];
  readonly residual?: { readonly rms_Nm: number; readonly autocorrelationTime_s: number };
  /** The drive as it was stated, so that later commands know gear, roller and limits. */
  readonly drive: DriveDocument;
  readonly inputs: Source;
}

const tidyEstimate = (e: Estimate): Estimate => ({
  value: tidy(e.value),
  standardError: tidy(e.standardError),
  interval95: [tidy(e.interval95[0]), tidy(e.interval95[1])],
});

const statable = (e: Estimate | undefined): e is Estimate =>
  e !== undefined && [e.value, e.standardError, ...e.interval95].every(Number.isFinite);

function estimatesOut(estimates: Estimates): EstimatesDocument {
  const out: EstimatesDocument = {};
  for (const name of parameterNames) {
    const e = estimates[name];
    if (statable(e)) out[estimateKeys[name]] = tidyEstimate(e);
  }
  return out;
}

/** An estimate without a finite value and uncertainty is none: it moves to the numbers that are not estimated. */
function notEstimatedOut(id: Identification): IdentificationDocument['notEstimated'] {
  const lost = parameterNames.filter((n) => id.estimates[n] !== undefined && !statable(id.estimates[n]));
  return [
    ...id.notEstimated.map((n) => ({ ...n, name: estimateKeys[n.name] })),
    ...lost.map((n) => ({
      name: estimateKeys[n],
      why: 'the recording leaves its value or its uncertainty unbounded',
      next: 'record a longer test with more speeds and ramps',
    })),
  ];
}

/** A covariance is of use whole or not at all. */
const covarianceOut = (c: Identification['covariance']): IdentificationDocument['covariance'] =>
  c?.matrix.flat().every(Number.isFinite)
    ? { names: c.names.map((n) => estimateKeys[n]), matrix: c.matrix.map((row) => row.map(tidy)) }
    : undefined;

const curveOut = (points: readonly DragPoint[] | undefined): DragPointDocument[] | undefined =>
  points
    ?.filter((p) => Number.isFinite(p.torque) && Number.isFinite(p.halfWidth95))
    .map((p) => ({
      speed_rad_per_s: tidy(p.speed),
      torque_Nm: tidy(p.torque),
      halfWidth95_Nm: tidy(p.halfWidth95),
      from: p.from,
      ...(p.segment !== undefined && { segment: p.segment }),
    }));

const eventOut = (e: BreakawayEvent): NonNullable<IdentificationDocument['breakawayEvents']>[number] => ({
  time_s: tidy(e.time),
  torque_Nm: tidy(e.torque),
  direction: e.direction,
  dwell_s: tidy(e.dwell),
  rate_Nm_per_s: tidy(e.rate),
});

/** Where-values that are not finite numbers would turn to null in JSON; they are said in words instead. */
const whereOut = (where: Where): Where =>
  Object.fromEntries(
    Object.entries(where).map(([k, v]) => [k, typeof v === 'number' && !Number.isFinite(v) ? String(v) : v]),
  );

/**
 * The document of an identification. A number that is absent stays absent; one that is not finite becomes absent with its
 * reason. @throws TautlineError internal when anything else is not finite
 */
export function toIdentificationDocument(id: Identification, drive: DriveDocument): IdentificationDocument {
  return plain<IdentificationDocument>({
    schema: 'tautline/identification@1',
    name: id.driveName,
    verdict: id.verdict,
    findings: id.findings.map((f) => ({ ...f, where: whereOut(f.where) })),
    channels: id.channels.map((c) => ({
      role: c.role,
      header: c.header,
      unit: c.unit,
      delay_s: tidy(c.delay),
    })),
    segments: id.segments.map((s) => ({
      kind: s.kind,
      from_s: tidy(s.from),
      to_s: tidy(s.to),
      why: s.why,
      used: s.used,
    })),
    direction: id.direction && (id.direction > 0 ? 'forward' : 'reverse'),
    estimates: estimatesOut(id.estimates),
    stribeckExponent: id.stribeckExponent,
    notEstimated: notEstimatedOut(id),
    reverse: id.reverse && { estimates: estimatesOut(id.reverse.estimates) },
    symmetric: id.symmetric && { estimates: estimatesOut(id.symmetric.estimates) },
    covariance: covarianceOut(id.covariance),
    dragCurve: curveOut(id.dragCurve),
    dragCurveReverse: curveOut(id.dragCurveReverse),
    apparentDragCurve: curveOut(id.apparentDragCurve),
    rampPairs: id.rampPairs
      ?.filter((p) => statable(p.inertia))
      .map(({ inertia, ...places }) => ({ ...places, inertia_kgm2: tidyEstimate(inertia) })),
    dragOverInertia: id.dragOverInertia?.map((p) => ({
      speed_rad_per_s: tidy(p.speed),
      deceleration_rad_per_s2: tidy(p.deceleration),
    })),
    inertiaOverDiameter: id.inertiaOverDiameter?.map((p) => ({
      diameter_m: tidy(p.diameter),
      inertia_kgm2: tidy(p.inertia),
    })),
    rollDensity_kgm3: id.rollDensity && tidyEstimate(id.rollDensity),
    breakawayEvents: id.breakawayEvents.length > 0 ? id.breakawayEvents.map(eventOut) : undefined,
    speedRange_rad_per_s: id.speedRange && [tidy(id.speedRange[0]), tidy(id.speedRange[1])],
    residual: id.residual && {
      rms_Nm: tidy(id.residual.rms),
      autocorrelationTime_s: tidy(id.residual.autocorrelationTime),
    },
    drive,
    inputs: id.inputs,
  });
}

const nameOf = new Map(
  Object.entries(estimateKeys).map(([name, key]) => [key as EstimateKey, name as ParameterName]),
);

function estimatesIn(document: EstimatesDocument): Estimates {
  return Object.fromEntries(
    Object.entries(document).map(([key, e]) => [nameOf.get(key as EstimateKey) as ParameterName, e]),
  );
}

const curveIn = (points: readonly DragPointDocument[] | undefined): DragPoint[] | undefined =>
  points?.map((p) => ({
    speed: p.speed_rad_per_s,
    torque: p.torque_Nm,
    halfWidth95: p.halfWidth95_Nm,
    from: p.from,
    ...(p.segment !== undefined && { segment: p.segment }),
  }));

/** The identification that a document states, without its traces. The document must have passed its schema. */
export function fromIdentificationDocument(d: IdentificationDocument): Identification {
  return {
    driveName: d.name,
    verdict: d.verdict,
    findings: d.findings,
    channels: d.channels.map((c) => ({
      role: c.role as Identification['channels'][number]['role'],
      header: c.header,
      unit: c.unit,
      delay: c.delay_s,
    })),
    segments: d.segments.map((s) => ({ kind: s.kind, from: s.from_s, to: s.to_s, why: s.why, used: s.used })),
    direction: d.direction && (d.direction === 'forward' ? 1 : -1),
    estimates: estimatesIn(d.estimates),
    stribeckExponent: d.stribeckExponent,
    notEstimated: d.notEstimated.map((n) => ({ ...n, name: nameOf.get(n.name) as ParameterName })),
    reverse: d.reverse && { estimates: estimatesIn(d.reverse.estimates) },
    symmetric: d.symmetric && { estimates: estimatesIn(d.symmetric.estimates) },
    covariance: d.covariance && {
      names: d.covariance.names.map((n) => nameOf.get(n) as ParameterName),
      matrix: d.covariance.matrix,
    },
    dragCurve: curveIn(d.dragCurve),
    dragCurveReverse: curveIn(d.dragCurveReverse),
    apparentDragCurve: curveIn(d.apparentDragCurve),
    rampPairs: d.rampPairs?.map(({ inertia_kgm2: inertia, ...places }) => ({ ...places, inertia })),
    dragOverInertia: d.dragOverInertia?.map((p) => ({
      speed: p.speed_rad_per_s,
      deceleration: p.deceleration_rad_per_s2,
    })),
    inertiaOverDiameter: d.inertiaOverDiameter?.map((p) => ({
      diameter: p.diameter_m,
      inertia: p.inertia_kgm2,
    })),
    rollDensity: d.rollDensity_kgm3,
    breakawayEvents: (d.breakawayEvents ?? []).map((e) => ({
      time: e.time_s,
      torque: e.torque_Nm,
      direction: e.direction,
      dwell: e.dwell_s,
      rate: e.rate_Nm_per_s,
    })),
    speedRange: d.speedRange_rad_per_s,
    residual: d.residual && { rms: d.residual.rms_Nm, autocorrelationTime: d.residual.autocorrelationTime_s },
    inputs: d.inputs,
  };
}
