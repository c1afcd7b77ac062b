import type { Drive } from '../../engine/line/drive.js';
import type { Line } from '../../engine/line/line.js';
import { toDrive } from '../../engine/project/drive.js';
import type { LineDocument } from '../../engine/project/line/lineDocument.js';
import { toLine } from '../../engine/project/line/toLine.js';

/** Any drive: a drawing only marks that there is one. */
const someDrive: Drive = toDrive({ schema: 'tautline/drive@1', name: 'drive', element: 'driven-idler' });
const anyDrive: ReadonlyMap<string, Drive> = new (class extends Map<string, Drive> {
  override get = (): Drive => someDrive;
})();

/** A line for its picture alone: no drive file and no result is read. @throws TautlineError as toLine */
export function lineForDrawing(document: LineDocument): Line {
  const sections = document.sections.map(({ identification: _, ...section }) => section);
  return toLine({ ...document, sections }, { drives: anyDrive, measured: new Map() });
}
