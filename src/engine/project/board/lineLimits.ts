import { isTautlineError } from '../../errors.js';
import type { Finding } from '../../findings.js';
import { checkLine } from '../../line/check/lineCheck.js';
import type { Line, MeasuredDrive } from '../../line/line.js';
import type { Missing } from '../../program/drives/driveModel.js';
import { missingFinding } from '../../program/drives/rowMotors.js';
import { type ProgrammedLine, programmeLine } from '../../program/programmeLine.js';
import { toDrive } from '../drive.js';
import { fromIdentificationDocument } from '../identification.js';
import { measuredDrive } from '../line/measuredDrive.js';
import { toLine } from '../line/toLine.js';
import { toProduct } from '../product/toProduct.js';
import { lastPart } from '../visit.js';
import type { NextEntry } from './boardDocument.js';
import { type BoardInput, documentOf, problemOf } from './boardInput.js';
import { driveFileAction, type RowState, type Step } from './rowState.js';

/** The tightest limit of one motor over the build of every product's rolls. */
export interface MotorLimit {
  /** What is left to the limit as a share of it [1]; undefined when no limit applied. */
  readonly margin?: number;
  readonly name?: string;
  readonly product: string;
  /** What its torque leaves out, when that is so much that it cannot be judged. */
  readonly missing: readonly Missing[];
  /** What there is to say of this motor. */
  readonly findings: readonly Finding[];
}

/** Motors of the line against its programs, or the one step that stands before any of that. */
export interface LineLimits {
  readonly blocked?: Step;
  /** By the name of the driven roller. */
  readonly motors: ReadonlyMap<string, MotorLimit>;
  /** What concerns the line and its products as a whole. */
  readonly entries: readonly NextEntry[];
}

/**
 * Motors against the line as it is described now, with what was measured, for every product that can be read [N·m, rad/s]. A line that lacks one
 * of its drive files is left out as a whole, as in the report: its torques would be wrong without it. Source: docs/models/drive-torque.md.
 */
export function lineLimits(input: BoardInput, states: readonly RowState[]): LineLimits {
  const units = input.units ?? 'si';
  const entries: NextEntry[] = [];
  const blockedBy = (step: Step): LineLimits => ({
    blocked: { owner: {}, ...step },
    motors: new Map(),
    entries,
  });
  const products = [...input.products].sort((a, b) => (a.file < b.file ? -1 : 1));
  for (const product of products) {
    const problem = problemOf(product);
    if (problem !== undefined) entries.push(productEntry(product.file, problem.message, problem.where));
  }
  const line = lineOf(input, states);
  if ('step' in line) return blockedBy(line.step);
  for (const finding of line.findings) if (finding.severity === 'refuse') entries.push(lineEntry(finding));
  const motors = new Map<string, MotorLimit>();
  let programmed = 0;
  for (const product of products) {
    const document = documentOf(product);
    if (document === undefined) continue;
    try {
      // the rows of the program are not asked for here, so the fewest do
      const result = programmeLine(line.line, toProduct(document), 2, units);
      programmed++;
      for (const [name, limit] of motorLimits(result, product.file))
        motors.set(name, tighter(motors.get(name), limit));
    } catch (error) {
      if (!isTautlineError(error)) throw error;
      entries.push(productEntry(product.file, error.message, error.where));
    }
  }
  if (programmed === 0)
    return blockedBy({
      weight: 'data-missing',
      why: input.products.length === 0 ? 'no product states how rolls are wound' : 'no product can be read',
      action: { kind: 'write-program', words: 'write a program', view: 'programs', parameters: {} },
    });
  if (line.line.speed === undefined)
    return blockedBy({
      weight: 'data-missing',
      why: 'the line states no speed, so its motors cannot be judged',
      action: {
        kind: 'state-drive',
        words: 'state speed, acceleration and stop of the line',
        view: 'line',
        parameters: { file: input.line.file, pointer: 'speed' },
      },
    });
  return { motors, entries };
}

function lineOf(
  input: BoardInput,
  states: readonly RowState[],
): { line: Line; findings: readonly Finding[] } | { step: Step } {
  const document = documentOf(input.line);
  if (document === undefined) {
    const problem = problemOf(input.line);
    return { step: lineStep(input.line.file, problem?.message ?? '', problem?.where) };
  }
  const drives = new Map<string, ReturnType<typeof toDrive>>();
  const measured = new Map<string, MeasuredDrive>();
  for (const { row, drive, results } of states) {
    if (row.pointer === undefined) continue;
    const stated = documentOf(drive);
    if (row.driveFile !== undefined && stated === undefined) {
      const why = problemOf(drive)?.message ?? `${row.driveFile} is not in the folder`;
      const action = driveFileAction(row, drive);
      return { step: { weight: 'unreadable', why, action, owner: { row: row.name } } };
    }
    if (row.stated?.drive !== undefined && stated !== undefined)
      drives.set(row.stated.drive, toDrive(stated));
    const key = row.stated?.identification ?? row.stated?.drive;
    if (results.current !== undefined && key !== undefined)
      measured.set(
        key,
        measuredDrive(fromIdentificationDocument(results.current.document), lastPart(results.current.file)),
      );
  }
  try {
    const line = toLine(document, { drives, measured });
    return { line, findings: checkLine(line, input.units).findings };
  } catch (error) {
    if (!isTautlineError(error)) throw error;
    return { step: lineStep(input.line.file, error.message, error.where) };
  }
}

type Place = { readonly line?: unknown; readonly pointer?: unknown };

const placeOf = (where: Place | undefined): { line?: number; pointer?: string } => ({
  ...(typeof where?.line === 'number' && { line: where.line }),
  ...(typeof where?.pointer === 'string' && { pointer: where.pointer }),
});

const lineStep = (file: string, why: string, where: Place | undefined): Step => ({
  weight: 'unreadable',
  why,
  action: {
    kind: 'correct-document',
    words: 'correct the line',
    view: 'line',
    parameters: { file, ...placeOf(where) },
  },
});

const lineEntry = (finding: Finding): NextEntry => ({
  weight: 'warning',
  facts: [],
  why: finding.message,
  code: finding.code,
  action: {
    kind: 'correct-document',
    words: finding.next,
    view: 'line',
    parameters: {
      ...(typeof finding.where.section === 'string' && { section: finding.where.section }),
      ...placeOf(finding.where),
    },
  },
});

const productEntry = (file: string, why: string, where: Place | undefined): NextEntry => ({
  weight: 'unreadable',
  facts: [],
  why,
  action: {
    kind: 'correct-document',
    words: 'correct the product',
    view: 'programs',
    parameters: { product: file, file, ...placeOf(where) },
  },
});

function* motorLimits(result: ProgrammedLine, product: string): Generator<[string, MotorLimit]> {
  for (const model of result.models) {
    const { name, section } = model;
    const left = missingFinding(model);
    const missing = left.some((f) => f.severity !== 'info') ? model.missing : [];
    const check = result.checks.get(name);
    const duty = result.duty?.drives.find((d) => d.name === name);
    const hot = (result.duty?.findings ?? []).filter(
      (f) =>
        f.code === 'motor_overheated' && f.where.section === section.name && f.message.startsWith(`${name}:`),
    );
    const margins = [
      ...(check?.limits ?? []).map((l) => ({ margin: l.margin, name: l.name.replace(` of ${name}`, '') })),
      ...(duty === undefined ? [] : [{ margin: 1 - duty.rmsFraction, name: 'torque over a cycle' }]),
    ]
      .filter(({ margin }) => Number.isFinite(margin))
      .sort((a, b) => a.margin - b.margin);
    yield [
      name,
      { ...margins[0], product, missing, findings: [...(check?.findings ?? []), ...hot, ...left] },
    ];
  }
}

/** Of two products the one that leaves less; what one of them leaves out is not known. */
function tighter(a: MotorLimit | undefined, b: MotorLimit): MotorLimit {
  if (a === undefined) return b;
  if (a.missing.length > 0 || b.missing.length > 0) return a.missing.length > 0 ? a : b;
  return (b.margin ?? Number.POSITIVE_INFINITY) < (a.margin ?? Number.POSITIVE_INFINITY) ? b : a;
}
