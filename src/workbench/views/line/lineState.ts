import { isTautlineError } from '../../../engine/errors.js';
import { checkLine, type LineCheck } from '../../../engine/line/check/lineCheck.js';
import type { Line } from '../../../engine/line/line.js';
import type { LineDocument } from '../../../engine/project/line/lineDocument.js';
import type { LineSources } from '../../../engine/project/line/sources.js';
import { toLine } from '../../../engine/project/line/toLine.js';
import { lineDrawingOf } from '../../../engine/report/line/lineDrawingOf.js';
import type { LineDrawing } from '../../../engine/report/line/model.js';
import type { UnitSystem } from '../../../engine/units/quantity.js';
import type { Problem } from '../../api/types.js';
import { lineForDrawing } from '../../line/forDrawing.js';
import { asProblem } from '../../line/readLine.js';

/** What follows from a line document: all that the view shows. */
export interface LineState {
  readonly line?: Line;
  readonly check?: LineCheck;
  readonly drawing?: LineDrawing;
  /** Why it is no line, or what it refers to and cannot be read. */
  readonly problem?: Problem;
}

/** `sources` undefined while they are still being read: geometry needs none of them. */
export function lineState(
  document: LineDocument,
  sources: LineSources | undefined,
  system: UnitSystem,
  selected: string | undefined,
): LineState {
  let line: Line;
  let problem: Problem | undefined;
  try {
    line = lineForDrawing(document);
    if (sources !== undefined) line = toLine(document, sources);
  } catch (error) {
    if (!isTautlineError(error)) throw error;
    problem = asProblem(error);
    try {
      line = lineForDrawing(document);
    } catch {
      return { problem };
    }
  }
  const check = checkLine(line, system);
  const drawing = lineDrawingOf(line, check, system, {
    hasDetails: true,
    ...(selected !== undefined && { selected }),
  });
  return { line, check, ...(drawing && { drawing }), ...(problem && { problem }) };
}
