import type { Finding } from '../../findings.js';
import type { LineCheck } from '../../line/check/lineCheck.js';
import type { Line } from '../../line/line.js';
import type { TugBudget } from '../../line/tug/types.js';
import { plain, tidy } from '../plain.js';
import { type TugDocument, toTugDocument } from './tugDocument.js';

/** `tautline/line-check@1`: what `tautline check` prints. Spans that cannot be are left out; the findings say why. */
export interface LineCheckDocument {
  readonly schema: 'tautline/line-check@1';
  readonly line: string;
  readonly spans: readonly {
    readonly from: string;
    readonly to: string;
    readonly length_m: number;
    readonly heading_rad: number;
  }[];
  /** Rollers between the first and the last. */
  readonly wraps: readonly { readonly section: string; readonly wrap_rad: number }[];
  /** From the tangent point on the first roller to that on the last; absent when some of it cannot be. */
  readonly pathLength_m?: number;
  /** Spans and wraps that change while a roll builds: index i of every list belongs to diameter i. */
  readonly overBuild: readonly {
    readonly section: string;
    readonly diameter_m: readonly number[];
    readonly pathLength_m: readonly (number | null)[];
    readonly wraps: readonly { readonly section: string; readonly wrap_rad: readonly (number | null)[] }[];
  }[];
  /** Forces at load cells and carriages at the stated tension, and the tension that a dancer's loading holds. */
  readonly loads: readonly {
    readonly section: string;
    readonly kind: string;
    readonly force_N: number;
    readonly tension_N: number;
  }[];
  /** What the web is asked to pull; absent while the line states no speed. */
  readonly tug?: TugDocument;
  readonly findings: readonly Finding[];
}

const orNull = (x: number): number | null => (Number.isFinite(x) ? tidy(x) : null);

/** A check as a document. `findings` come with their places in the file. */
export function toLineCheckDocument(
  line: Line,
  check: LineCheck,
  findings: readonly Finding[] = check.findings,
  tug?: TugBudget,
): LineCheckDocument {
  const { path } = check;
  return plain({
    schema: 'tautline/line-check@1',
    line: line.name,
    spans: (path?.spans ?? [])
      .filter((s) => Number.isFinite(s.length))
      .map((s) => ({
        from: s.from,
        to: s.to,
        length_m: tidy(s.length),
        heading_rad: tidy(s.heading),
      })),
    wraps: (path?.wraps ?? [])
      .filter((w) => Number.isFinite(w.wrap))
      .map((w) => ({ section: w.name, wrap_rad: tidy(w.wrap) })),
    ...(path !== undefined && Number.isFinite(path.length) && { pathLength_m: tidy(path.length) }),
    overBuild: check.overBuild.map(({ section, path: over }) => ({
      section,
      diameter_m: [...over.radius].map((r) => tidy(2 * r)),
      pathLength_m: [...over.length].map(orNull),
      wraps: over.wraps
        .filter((w) => w.wrap.some((x) => Math.abs(x - (w.wrap[0] as number)) > 1e-9))
        .map((w) => ({ section: w.name, wrap_rad: [...w.wrap].map(orNull) })),
    })),
    loads: check.loads.map((l) => ({
      section: l.section,
      kind: l.kind,
      force_N: tidy(l.force),
      tension_N: tidy(l.tension),
    })),
    ...(tug && { tug: toTugDocument(tug) }),
    findings,
  });
}
