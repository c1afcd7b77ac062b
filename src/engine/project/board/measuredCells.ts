import { feedForward } from '../../feedforward/feedForward.js';
import type { Finding } from '../../findings.js';
import { dragBand, dragLawOf } from '../../identify/dragBand.js';
import type { Identification } from '../../identify/identification.js';
import { toDrive } from '../drive.js';
import { type EstimateKey, fromIdentificationDocument } from '../identification.js';
import { visitDate } from '../visit.js';
import type { TestName } from './boardDocument.js';
import { documentOf } from './boardInput.js';
import { type DriveResult, sourceOf } from './driveResults.js';
import {
  identifyStep,
  type Judged,
  known,
  missing,
  of,
  type RowState,
  recordTest,
  refusedStep,
  resting,
  type Step,
  staleStep,
  unreadableRecordings,
  unreadableResult,
  whyNothing,
} from './rowState.js';

const warnings = (findings: readonly Finding[]): readonly Finding[] =>
  findings.filter((f) => f.severity !== 'info');

/** Is there a recording of the drive, and can it be used? Not a relation [1]. Source: docs/board.md. */
export function recordedCell(state: RowState): Judged {
  const { row, results } = state;
  const { current, refused, recorded } = results;
  const last = recorded.findLast(({ recording }) => recording.problem === undefined);
  if (last === undefined && current !== undefined && current.recording === undefined)
    return missing(
      `${current.document.inputs.file} is not in the folder`,
      current.stale.length > 0 ? staleStep(current, state) : undefined,
    );
  const unreadable = [
    ...unreadableRecordings(state),
    ...results.unreadable.map((u) => unreadableResult(u, row, last?.recording.file)),
  ];
  if (last === undefined || (refused !== undefined && current === undefined)) {
    const step = whyNothing(state);
    return { ...missing(step.why, step), steps: [step, ...unreadable] };
  }
  const { visit, recording } = last;
  const date = visitDate(visit);
  const identify = identifyStep(state);
  const steps: Step[] = [
    ...(refused === undefined ? [] : [refusedStep(refused, row)]),
    ...(identify === undefined ? [] : [identify]),
    ...unreadable,
  ];
  return known(
    {
      words: visit,
      from: {
        method: recording.file.startsWith('recordings/') ? 'imported recording' : 'export of the drive',
        recording: recording.file,
        visit,
        ...(date !== undefined && { date }),
      },
      findings: warnings(refused?.document.findings ?? []),
    },
    steps,
  );
}

const estimated = {
  inertia: {
    key: 'inertia_kgm2',
    quantity: 'inertia',
    words: 'inertia at the motor shaft',
    method: 'ramps at different rates, drag taken off',
    kinds: ['ramp', 'plateau'],
    test: 'ramps',
  },
  breakaway: {
    key: 'breakaway_Nm',
    quantity: 'torque',
    words: 'breakaway torque at the motor shaft',
    method: 'slow torque ramps from rest',
    kinds: ['breakaway'],
    test: 'breakaway',
  },
} as const satisfies Record<string, { key: EstimateKey; test: TestName; [more: string]: unknown }>;

/** Inertia or breakaway torque of the drive [kg·m², N·m at the motor]. Source: the identification. */
export function estimateCell(state: RowState, fact: keyof typeof estimated): Judged {
  const { current } = state.results;
  if (current === undefined) return nothing(state);
  const { key, quantity, words, method, kinds, test } = estimated[fact];
  const estimate = current.document.estimates[key];
  if (estimate === undefined) return notEstimated(state, current, key, test);
  return resting(
    current,
    state,
    {
      value: estimate.value,
      quantity,
      interval95: estimate.interval95,
      words,
      from: sourceOf(current, method, kinds),
      findings: [],
    },
    fact === 'inertia' ? warningSteps(current, state) : [],
  );
}

/** Drag torque at the highest speed that was seen [N·m, rad/s at the motor]. Source: the identification's drag law. */
export function dragCell(state: RowState): Judged {
  const { current } = state.results;
  if (current === undefined) return nothing(state);
  const id = fromIdentificationDocument(current.document);
  const direction = bandOf(id, 'forward');
  if (direction === undefined) return notEstimated(state, current, 'coulomb_Nm', 'staircase');
  const speed = direction.range[1];
  const { torque, halfWidth } = direction.at(speed);
  return resting(current, state, {
    value: torque,
    quantity: 'torque',
    // a document of another program may state a law without its uncertainty
    ...(Number.isFinite(halfWidth) && { interval95: [torque - halfWidth, torque + halfWidth] as const }),
    at: { value: speed, quantity: 'angularSpeed' },
    words: 'drag torque at the motor shaft, at the highest speed recorded',
    from: sourceOf(current, 'steady speeds and coast-down', ['plateau', 'coast']),
    findings: warnings(current.document.findings),
  });
}

function bandOf(id: Identification, direction: 'forward'): ReturnType<typeof dragBand> {
  return dragLawOf(id.estimates, id.stribeckExponent) && dragBand(id, direction);
}

/** What the feed-forward leaves open: half width of its torque at the worst row with the error between rows [N·m]. Source: docs/models/feedforward.md. */
export function feedForwardCell(state: RowState): Judged {
  const { current } = state.results;
  if (current === undefined) return nothing(state);
  const id = fromIdentificationDocument(current.document);
  const drive = toDrive(documentOf(state.drive) ?? current.document.drive);
  const made = feedForward(id, drive);
  const refusal = made.rows.length === 0 ? made.findings.find((f) => f.severity === 'refuse') : undefined;
  const band = bandOf(id, 'forward');
  if (refusal !== undefined || band === undefined)
    return missing(refusal?.message ?? 'there is no drag law to make a table from', {
      weight: 'test-missing',
      why: refusal?.message ?? 'there is no drag law to make a table from',
      ...(refusal && { code: refusal.code }),
      action: recordTest(state.row, 'staircase', refusal?.next ?? 'record plateaus at four or more speeds'),
    });
  let worst = { speed: 0, half: 0 };
  for (const { speed } of made.rows) {
    const { halfWidth } = band.at(speed);
    if (halfWidth > worst.half) worst = { speed, half: halfWidth };
  }
  const findings = warnings(made.findings).filter((f) => f.severity === 'warn');
  const [first] = findings;
  const steps: Step[] =
    first === undefined
      ? []
      : [
          {
            weight: 'warning',
            why: withMore(findings),
            code: first.code,
            action: {
              kind: 'look-at-result',
              words: first.next,
              view: 'feed-forward',
              parameters: { ...of(state.row), identification: current.file },
            },
          },
        ];
  return resting(
    current,
    state,
    {
      value: worst.half + (made.interpolationError ?? 0),
      quantity: 'torque',
      at: { value: worst.speed, quantity: 'angularSpeed' },
      words:
        made.assist === undefined
          ? 'torque that the table leaves open at most, no assist at start'
          : 'torque that the table leaves open at most, with assist at start',
      from: sourceOf(current, 'table from the drag law, straight between its rows'),
      findings: warnings(made.findings),
    },
    steps,
  );
}

const withMore = (findings: readonly Finding[]): string =>
  findings.length > 1 ? `${findings[0].message} (and ${findings.length - 1} more)` : findings[0].message;

function nothing(state: RowState): Judged {
  const step = whyNothing(state);
  return missing(step.why, step);
}

function notEstimated(state: RowState, current: DriveResult, key: EstimateKey, test: TestName): Judged {
  const stated = current.document.notEstimated.find((n) => n.name === key);
  const why = stated?.why ?? `${current.file} does not state it`;
  return missing(why, {
    weight: 'test-missing',
    why: `${why} (${current.document.inputs.file})`,
    action: recordTest(state.row, test, stated?.next ?? 'record the test'),
  });
}

/** Warnings of the result that holds, as one step. */
function warningSteps(current: DriveResult, { row }: RowState): Step[] {
  const found = current.document.findings.filter((f) => f.severity === 'warn');
  const [first] = found;
  if (first === undefined) return [];
  return [
    {
      weight: 'warning',
      why: withMore(found),
      code: first.code,
      action: {
        kind: 'look-at-result',
        words: first.next,
        view: 'identify',
        parameters: { ...of(row), identification: current.file },
      },
    },
  ];
}
