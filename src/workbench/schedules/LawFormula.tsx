import { lazy, type ReactNode, Suspense, useState } from 'react';
import type { ScheduleDocument } from '../../engine/project/product/productDocument.js';

const Formula = lazy(async () => ({ default: (await import('../components/Formula.js')).Formula }));

const formulas: Readonly<Record<ScheduleDocument['law'], string>> = {
  constant: 'F(D) = F_0',
  linear: 'F(D) = F_0\\left[1 - t\\,\\frac{D - D_0}{D_1 - D_0}\\right]',
  hyperbolic: 'F(D) = F_0\\left[1 - t\\left(1 - \\frac{D_0}{D}\\right)\\right]',
  blend:
    'F(D) = F_0\\left[1 - t\\left\\{a\\,\\frac{D - D_0}{D_1 - D_0} + (1 - a)\\left(1 - \\frac{D_0}{D}\\right)\\right\\}\\right]',
  table: 'F(D):\\ \\text{monotone cubic through the points}',
};

const hardStart =
  '\\times\\left[1 + b\\,(1 - 3u^2 + 2u^3)\\right],\\quad u = \\min\\left(1, \\frac{D - D_0}{d}\\right)';

/** The law as a formula, with what it holds for and where it is from; loaded when it is asked for. */
export function LawFormula({
  law,
  hasHardStart,
}: {
  readonly law: ScheduleDocument['law'];
  readonly hasHardStart: boolean;
}): ReactNode {
  const [isOpen, setOpen] = useState(false);
  return (
    <div>
      <button type="button" className="quiet" aria-expanded={isOpen} onClick={() => setOpen(!isOpen)}>
        Formula
      </button>
      {isOpen && (
        <Suspense fallback={<p className="soft">…</p>}>
          <Formula tex={formulas[law]} />
          {hasHardStart && <Formula tex={hardStart} />}
          <p className="soft">
            F force per width, D diameter, D₀ core, D₁ full roll, t taper, a share of linear, b boost, d
            depth. A taper means another end in each law. Laws in use in the trade; the blend after Lee, Kang,
            Kim and Shin, J. Mech. Sci. Technol. 23, 2009 (idea from the abstract); hard start and table are
            our own. docs/models/schedules.md.
          </p>
        </Suspense>
      )}
    </div>
  );
}
