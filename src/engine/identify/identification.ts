import type { Finding, Verdict } from '../findings.js';
import type { Role, Source } from '../recording/recording.js';

/** Parameters of the drive model, all at the motor shaft, SI. docs/models/drive.md has the equation. */
export const parameterNames = [
  'inertia',
  'coulomb',
  'viscous',
  'quadratic',
  'stribeck',
  'stribeckSpeed',
  'breakaway',
  'offset',
] as const;
export type ParameterName = (typeof parameterNames)[number];

/** A fitted number never travels alone. Same unit throughout; the interval covers the truth in 95 % of repetitions. */
export interface Estimate {
  readonly value: number;
  readonly standardError: number;
  readonly interval95: readonly [number, number];
}
export type Estimates = Partial<Record<ParameterName, Estimate>>;

/** A number that the recording cannot support: absent from the estimates, with its reason and what would give it. */
export interface NotEstimated {
  readonly name: ParameterName;
  readonly why: string;
  readonly next: string;
}

export type SegmentKind = 'plateau' | 'ramp' | 'coast' | 'breakaway' | 'rest' | 'excluded';

/** A stretch of the recording, why it is what it is, and why it was taken or left out. Times [s] on the recording's own axis. */
export interface Segment {
  readonly kind: SegmentKind;
  readonly from: number;
  readonly to: number;
  readonly why: string;
  /** True when the fit used it. */
  readonly used: boolean;
}

export interface DragPoint {
  /** Speed magnitude at the motor [rad/s]. */
  readonly speed: number;
  /** Drag torque magnitude at the motor [N·m]. */
  readonly torque: number;
  readonly halfWidth95: number;
  readonly from: 'plateau' | 'coast' | 'fit';
  /** Place in `segments` of the plateau that it was measured on. */
  readonly segment?: number;
}

/** Inertia from two ramps alone: drag takes from one what it adds to the other. Places in `segments`. */
export interface RampPairInertia {
  readonly up: number;
  readonly down: number;
  readonly direction: 1 | -1;
  readonly inertia: Estimate;
}

export interface BreakawayEvent {
  /** When motion started [s]. */
  readonly time: number;
  /** Torque magnitude at which it started, free of the acceleration that follows [N·m]. */
  readonly torque: number;
  readonly direction: 1 | -1;
  /** Rest before the ramp [s] and torque rate at the start of motion [N·m/s]: breakaway depends on both. */
  readonly dwell: number;
  readonly rate: number;
}

export interface ChannelUse {
  readonly role: Role;
  readonly header: string;
  readonly unit: string;
  /** How late this channel is against the others [s]; 0 when none was seen. */
  readonly delay: number;
}

/** Samples for plots, thinned: never used for computing. */
export interface FitTrace {
  readonly time: Float64Array;
  /** Motor speed [rad/s]. */
  readonly speed: Float64Array;
  /** Motor torque measured and as the fitted model gives it [N·m]; NaN where the model does not apply. */
  readonly torque: Float64Array;
  readonly torqueFitted: Float64Array;
}

/** What a recording says about one drive. */
export interface Identification {
  readonly driveName: string;
  readonly verdict: Verdict;
  readonly findings: readonly Finding[];
  readonly channels: readonly ChannelUse[];
  readonly segments: readonly Segment[];
  /** Direction of `estimates` and `dragCurve`: -1 only when nothing but reverse running was recorded. */
  readonly direction?: 1 | -1;
  /** Forward direction where the drag is direction-dependent, else both directions together. */
  readonly estimates: Estimates;
  readonly notEstimated: readonly NotEstimated[];
  /** Reverse direction; only when the recording runs both ways. */
  readonly reverse?: { readonly estimates: Estimates };
  /** The model with one drag for both directions and an offset; only when the recording runs both ways. */
  readonly symmetric?: { readonly estimates: Estimates };
  /** Covariance of the estimates of the forward direction, row-major, in the order of `names` [SI units multiplied]. */
  readonly covariance?: {
    readonly names: readonly ParameterName[];
    readonly matrix: readonly (readonly number[])[];
  };
  readonly dragCurve?: readonly DragPoint[];
  readonly dragCurveReverse?: readonly DragPoint[];
  /** Drag with the web on: what the drive feels, not what the roller alone asks for. */
  readonly apparentDragCurve?: readonly DragPoint[];
  /** What neighbouring ramps up and down say of the inertia by themselves. */
  readonly rampPairs?: readonly RampPairInertia[];
  readonly dragOverInertia?: readonly { readonly speed: number; readonly deceleration: number }[];
  readonly inertiaOverDiameter?: readonly { readonly diameter: number; readonly inertia: number }[];
  /** Density of the roll from its inertia over diameter [kg/m³]. */
  readonly rollDensity?: Estimate;
  /** Exponent of the Stribeck decay that fitted better; only with a Stribeck estimate. */
  readonly stribeckExponent?: 1 | 2;
  readonly breakawayEvents: readonly BreakawayEvent[];
  /** Speeds that the fit saw, magnitudes at the motor [rad/s]. */
  readonly speedRange?: readonly [number, number];
  readonly residual?: { readonly rms: number; readonly autocorrelationTime: number };
  readonly trace?: FitTrace;
  readonly inputs: Source;
}
