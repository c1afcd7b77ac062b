import type { CellValue } from './boardDocument.js';
import type { LineLimits, MotorLimit } from './lineLimits.js';
import {
  driveFileAction,
  type Judged,
  known,
  missing,
  of,
  type RowState,
  resting,
  type Step,
  whyNothing,
} from './rowState.js';

/** What its motor has left on this line: the tightest of its limits over every product [1]. Source: docs/models/drive-torque.md. */
export function limitsCell(state: RowState, { blocked, motors }: LineLimits): Judged {
  const { row } = state;
  if (row.section === undefined)
    return missing('no section of the line has this drive', {
      weight: 'data-missing',
      why: `no section of the line has the drive ${row.name}`,
      action: {
        kind: 'place-drive',
        words: 'give it a place in the line',
        view: 'line',
        parameters: of(row),
      },
    });
  if (blocked !== undefined) return missing(blocked.why, blocked);
  const limit = motors.get(row.name) ?? motors.get(`${row.name} 1`);
  if (limit === undefined) return missing('the line does not compute this drive');
  if (limit.missing.length > 0) {
    const why = `not known: ${[...new Set(limit.missing)].join(', ')}`;
    return missing(why, missingStep(state, limit, why));
  }
  if (limit.margin === undefined) return missing('no limit applies to this motor');
  const value: CellValue = {
    value: limit.margin,
    quantity: 'ratio',
    words: `left of its tightest limit: ${limit.name}`,
    from: {
      method: 'every working point of the line as described, with what was measured',
      product: limit.product,
      ...(state.results.current && { identification: state.results.current.file }),
    },
    findings: limit.findings,
  };
  const steps = limitSteps(state, limit);
  const { current } = state.results;
  return current === undefined ? known(value, steps) : resting(current, state, value, steps);
}

function limitSteps({ row }: RowState, { findings, product }: MotorLimit): Step[] {
  const first = findings.find((f) => f.severity === 'refuse') ?? findings.find((f) => f.severity === 'warn');
  if (first === undefined) return [];
  return [
    {
      weight: first.severity === 'refuse' ? 'limit-broken' : 'warning',
      why: first.message,
      code: first.code,
      action: {
        kind: 'mend-limit',
        words: first.next,
        view: 'programs',
        parameters: { ...of(row), ...(row.section !== undefined && { section: row.section }), product },
      },
    },
  ];
}

/** What was not measured is measured; what was not stated is stated. */
function missingStep(state: RowState, { missing: unknown, product }: MotorLimit, why: string): Step {
  const { row, results, drive } = state;
  const said = `${row.name}: ${why}`;
  if ((unknown.includes('inertia') || unknown.includes('drag')) && results.current === undefined)
    return whyNothing(state);
  if (unknown.includes('rated torque'))
    return {
      weight: 'data-missing',
      why: said,
      action: {
        ...driveFileAction(row, drive),
        kind: 'state-drive',
        words: 'state the rated torque in the drive file',
      },
    };
  if (unknown.includes('torque differential'))
    return {
      weight: 'data-missing',
      why: said,
      action: {
        kind: 'write-program',
        words: 'state the torque differential',
        view: 'programs',
        parameters: { product, ...of(row) },
      },
    };
  return {
    weight: 'data-missing',
    why: said,
    action: {
      kind: 'state-drive',
      words: `state ${[...new Set(unknown)].join(', ')}`,
      view: 'line',
      parameters: { ...of(row), ...(row.section !== undefined && { section: row.section }) },
    },
  };
}
