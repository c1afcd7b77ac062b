/** What an invented plant hands out: a drive as an engineer would type it, columns as a file would hold them, and the truth. */

/** Keys of a drive file (docs: line folder). */
export interface DriveKeys {
  readonly schema: 'tautline/drive@1';
  readonly name: string;
  readonly element: string;
  readonly rated_torque_Nm: number;
  readonly torque_constant_Nm_per_A?: number;
  readonly gear_ratio: number;
  readonly roller_diameter_m?: number;
  readonly core_diameter_m?: number;
  readonly roller_width_m?: number;
  readonly max_motor_speed_rad_per_s: number;
  readonly motor_inertia_kgm2?: number;
  readonly base_speed_rad_per_s?: number;
  readonly gear_efficiency?: number;
  readonly torque_limit_percent: number;
  readonly web?: { readonly width_m: number };
}

export interface PlantColumn {
  readonly header: string;
  /** As written in the file. */
  readonly unit: string;
  /** One of the roles of the command line's --channel, or none. */
  readonly role: string;
  /** In `unit`; NaN is a blank cell. */
  readonly values: Float64Array;
}

/** Drag of one direction, magnitudes at the motor. */
export interface DragTruth {
  readonly coulomb_Nm: number;
  readonly viscous_Nms: number;
  readonly quadratic_Nms2: number;
  readonly stribeck_Nm?: number;
  readonly stribeckSpeed_rad_per_s?: number;
  readonly stribeckExponent?: 1 | 2;
  readonly breakaway_Nm?: number;
}

export interface PlantTruth extends DragTruth {
  /** At the motor; of an unwind or winder: without the roll of web. */
  readonly inertia_kgm2: number;
  readonly offset_Nm: number;
  readonly reverse?: DragTruth;
  /** Steady drag torque magnitude [N·m]; a negative speed gives that of the reverse direction. */
  dragAt(speed_rad_per_s: number): number;
  /** Viscous drag is 1 + excess·exp(-t/time) times `viscous_Nms`. */
  readonly warming?: { readonly excess: number; readonly time_s: number };
  /** Mean torque that the web takes from the motor besides the drag [N·m]. */
  readonly web_Nm?: number;
  inertiaAtDiameter?(diameter_m: number): number;
  readonly rollDensity_kgm3?: number;
  /** Torque column lags the speed column by so much more [s]: delay and filter. */
  readonly torqueDelay_s?: number;
}

export interface Plant {
  readonly kind: string;
  readonly seed: number;
  readonly drive: DriveKeys;
  readonly columns: readonly PlantColumn[];
  readonly truth: PlantTruth;
  /** Finding codes that must appear, and the verdict where only one is right. */
  readonly expects: {
    readonly findings?: readonly string[];
    readonly verdict?: 'identified' | 'warned' | 'refused';
  };
}
