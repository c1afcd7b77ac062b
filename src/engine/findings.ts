import type { Where } from './errors.js';

/**
 * What the data say about themselves, in coded form: a refusal, a warning or a remark, each with the next step.
 * docs/errors.md has a page a code (what it means, what to do); a test keeps list and pages equal.
 */
export const findingCodes = [
  // the file
  'empty_file',
  'no_rows',
  'too_short',
  'nan_column',
  'text_in_numeric_column',
  'rows_skipped',
  'duplicate_headers',
  'decimal_unclear',
  'thousands_separator',
  'date_order_unclear',
  'role_missing',
  'role_ambiguous',
  'units_missing',
  // time and samples
  'time_backwards',
  'duplicate_timestamps',
  'irregular_sampling',
  'missing_samples',
  'spikes',
  'channel_delay',
  // meaning of the channels
  'sign_convention',
  'unsigned_speed',
  'speeds_disagree',
  'position_wrapped',
  'two_directions',
  'direction_asymmetry',
  // what the recording holds
  'torque_saturated',
  'stalled',
  'one_speed_only',
  'low_speed_only',
  'no_acceleration',
  'inertia_not_identifiable',
  'inertia_varies',
  'no_breakaway_test',
  'no_designed_test',
  'drive_off_coast',
  'drag_drift',
  'torque_ripple',
  'closed_loop_bias',
  'model_misfit',
  'web_on',
  // the line as described
  'geometry_missing',
  'web_path_impossible',
  'web_path_blocked',
  'web_path_crossing',
  'wrap_too_large',
  'rollers_overlap',
  'roll_between_drums',
  'mechanics_missing',
  // what the web is asked to pull
  'helper_needed',
  'helper_unclear',
  'traction_lost',
  'pull_roll_slips',
  'zone_tension_outside_window',
  // the program of a roll
  'section_missing',
  'torque_differential_missing',
  'torque_differential_unused',
  'wound_on_unknown',
  'wound_on_default',
  'wound_on_too_high',
  'drum_nip_unknown',
  'drum_slips',
  'tension_above_strength',
  'tension_outside_window',
  'nip_outside_window',
  // the test of a stack
  'stack_test_unusable',
  'stack_too_low',
  'stack_range_short',
  'stack_cycles_unsettled',
  'stack_law_unclear',
  // what is in the roll
  'stack_law_breaks',
  'stack_law_extrapolated',
  'value_implausible',
  'wound_on_lost',
  'core_too_soft',
  'hoop_compression',
  'web_strain_implausible',
  'large_deformation',
  'pressure_too_high',
  'core_pressure_too_high',
  'outer_pressure_low',
  'pressure_dip',
  'roll_not_of_line',
  'slip_not_judged',
  'layers_slip',
  'layers_loosen',
  'air_in_roll',
  'air_floats_laps',
  'air_nip_unknown',
  'air_not_computed',
  // the motors of the line
  'drive_data_missing',
  'motor_torque_exceeded',
  'motor_overloaded',
  'motor_too_slow',
  'power_flow_refused',
  'motor_overheated',
  'stop_too_short',
  'stop_too_long',
  'line_speed_missing',
  // what follows from it
  'torque_limit',
  'schedule_slope',
  'table_held',
  'pair_change',
  'pair_mismatch',
] as const;

export type FindingCode = (typeof findingCodes)[number];
export type Severity = 'refuse' | 'warn' | 'info';

export interface Finding {
  readonly code: FindingCode;
  readonly severity: Severity;
  readonly message: string;
  readonly where: Where;
  /** The one action that helps. */
  readonly next: string;
}

export type Verdict = 'identified' | 'warned' | 'refused';

/** The verdict that a list of findings amounts to: the worst severity decides. */
export function verdictOf(findings: readonly Finding[]): Verdict {
  if (findings.some((f) => f.severity === 'refuse')) return 'refused';
  return findings.some((f) => f.severity === 'warn') ? 'warned' : 'identified';
}
