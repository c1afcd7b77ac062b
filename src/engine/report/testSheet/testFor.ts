import type { FindingCode } from '../../findings.js';
import type { SheetTest } from './testPlan.js';

const tests: Partial<Record<FindingCode, SheetTest>> = {
  too_short: 'designed',
  stalled: 'designed',
  no_designed_test: 'designed',
  drag_drift: 'designed',
  web_on: 'designed',
  one_speed_only: 'staircase',
  low_speed_only: 'staircase',
  no_acceleration: 'ramps',
  inertia_not_identifiable: 'ramps',
  inertia_varies: 'ramps',
  torque_saturated: 'ramps',
  no_breakaway_test: 'breakaway',
};

/** The tests whose recording would put findings right, each once, in the order of the findings. Not a relation [1]. Source: docs/errors.md. */
export const testsFor = (codes: Iterable<FindingCode>): SheetTest[] => [
  ...new Set([...codes].flatMap((code) => tests[code] ?? [])),
];
