import type { Line, Winder } from '../line/line.js';
import { linePath } from '../line/linePath.js';
import type { Angle } from '../units/quantity.js';

/** Wrap of the web on a winder's drum before the nip [rad]; 0 while it is not known, which is on the safe side for its grip. Source: docs/models/web-path.md. */
export function drumWrap(line: Line, winder: Winder): Angle {
  const wrap = linePath(line)?.wraps.find((w) => w.name === winder.drum?.name)?.wrap;
  return wrap !== undefined && Number.isFinite(wrap) ? wrap : 0;
}
