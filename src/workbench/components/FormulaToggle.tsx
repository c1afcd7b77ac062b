import { lazy, type ReactNode, Suspense, useState } from 'react';

const Formula = lazy(async () => ({ default: (await import('./Formula.js')).Formula }));

/** Formulas on demand, with what they hold for and where they are from as children; the typesetting is loaded when it is asked for. */
export function FormulaToggle({
  tex,
  words = 'Formula',
  children,
}: {
  readonly tex: readonly string[];
  readonly words?: string;
  readonly children: ReactNode;
}): ReactNode {
  const [isOpen, setOpen] = useState(false);
  return (
    <div>
      <button type="button" className="quiet" aria-expanded={isOpen} onClick={() => setOpen(!isOpen)}>
        {words}
      </button>
      {isOpen && (
        <Suspense fallback={<p className="soft">…</p>}>
          {tex.map((t) => (
            <Formula key={t} tex={t} />
          ))}
          <p className="soft">{children}</p>
        </Suspense>
      )}
    </div>
  );
}
