import katex from 'katex';
import 'katex/dist/katex.min.css';
import type { ReactNode } from 'react';

/** A formula of our own, never text of a user. */
export function Formula({ tex }: { readonly tex: string }): ReactNode {
  const markup = katex.renderToString(tex, {
    displayMode: true,
    throwOnError: false,
    output: 'htmlAndMathml',
    trust: false,
  });
  // the markup is made by KaTeX from our own text
  return (
    <div
      className="scroll"
      tabIndex={0}
      role="math"
      aria-label={tex}
      dangerouslySetInnerHTML={{ __html: markup }}
    />
  );
}
