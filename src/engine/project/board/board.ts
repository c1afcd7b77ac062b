import type { DriveDocument } from '../drive.js';
import { plain } from '../plain.js';
import { recordingName } from '../visit.js';
import type { BoardDocument, BoardFact, BoardRow, NextEntry } from './boardDocument.js';
import { type BoardFile, type BoardInput, documentOf } from './boardInput.js';
import { drivenRows } from './drivenRows.js';
import { driveResults } from './driveResults.js';
import { limitsCell } from './limitsCell.js';
import { type LineLimits, lineLimits } from './lineLimits.js';
import { dragCell, estimateCell, feedForwardCell, recordedCell } from './measuredCells.js';
import { type JudgedRow, nextList } from './nextList.js';
import { nextVisitCell } from './nextVisitCell.js';
import { provenCell } from './provenCell.js';
import type { Judged, RowState, Step } from './rowState.js';

/**
 * Where the commissioning of a line stands: of every drive what is known, what is missing and why, what no longer holds since an input changed,
 * and what to do next. Pure: the same files give the same board, in whatever order they come. Not a relation [1]. Source: docs/board.md.
 */
export function board(input: BoardInput): BoardDocument {
  const line = documentOf(input.line);
  const drives = new Map(input.drives.map((d) => [d.file, d]));
  const states = drivenRows(line, [...drives.keys()]).map((row): RowState => {
    const drive =
      row.driveFile === undefined ? undefined : (drives.get(row.driveFile) ?? notThere(row.driveFile));
    return {
      row,
      input,
      units: input.units ?? 'si',
      ...(drive && { drive }),
      results: driveResults(row, drive, input),
    };
  });
  const limits = lineLimits(input, states);
  const rows = states.map((state) => judge(state, limits));
  return plain<BoardDocument>({
    schema: 'tautline/board@1',
    ...(line && { line: line.name }),
    invented: line?.invented === true,
    rows: rows.map(({ row }) => row),
    next: nextList(rows, [
      ...(limits.blocked === undefined ? [] : [lineEntry(limits.blocked)]),
      ...limits.entries,
      ...strays(input, states),
    ]),
  });
}

/** What blocks every drive is in the list also where there is no row to wait for it. */
const lineEntry = ({ owner, ...step }: Step): NextEntry => ({ ...step, ...owner, facts: [] });

const notThere = (file: string): BoardFile<DriveDocument> => ({
  file,
  problem: {
    code: 'file_not_found',
    message: `${file} is not in the folder`,
    where: { file },
    next: 'correct the path in line.yaml, or write the drive file',
  },
});

function judge(state: RowState, limits: LineLimits): JudgedRow {
  const { row, drive } = state;
  const judged: Record<BoardFact, Judged> = {
    recorded: recordedCell(state),
    inertia: estimateCell(state, 'inertia'),
    breakaway: estimateCell(state, 'breakaway'),
    drag: dragCell(state),
    feedforward: feedForwardCell(state),
    limits: limitsCell(state, limits),
    proven: provenCell(state),
    nextVisit: nextVisitCell(state),
  };
  const element = documentOf(drive)?.element ?? state.results.current?.document.drive.element;
  const { recorded, inertia, breakaway, drag, feedforward, limits: motor, proven, nextVisit } = judged;
  const cells: BoardRow['cells'] = {
    recorded: recorded.cell,
    inertia: inertia.cell,
    breakaway: breakaway.cell,
    drag: drag.cell,
    feedforward: feedforward.cell,
    limits: motor.cell,
    proven: proven.cell,
    nextVisit: nextVisit.cell,
  };
  return {
    judged,
    row: {
      name: row.name,
      ...(row.section !== undefined && { section: row.section }),
      ...(row.pointer !== undefined && { pointer: row.pointer }),
      ...(row.driveFile !== undefined && { driveFile: row.driveFile }),
      ...(row.drive !== undefined && { drive: row.drive }),
      ...(element && { element }),
      cells,
    },
  };
}

/** Recordings that belong to no drive: nothing is lost without a word. */
function strays(input: BoardInput, states: readonly RowState[]): NextEntry[] {
  const drives = new Set(states.flatMap(({ row }) => row.drive ?? []));
  return input.recordings
    .filter(({ file }) => !drives.has(recordingName(file)?.drive ?? ''))
    .map(({ file }) => file)
    .sort()
    .map((file) => ({
      weight: 'data-missing',
      facts: [],
      why: `${file} belongs to no drive by its name`,
      action: {
        kind: 'answer-recording',
        words: 'say which drive and visit it is, so that it is named DRIVE.VISIT',
        view: 'recordings',
        parameters: { recording: file },
      },
    }));
}
