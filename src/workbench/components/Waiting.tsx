import { type ReactNode, useEffect, useState } from 'react';

/** Nothing for a moment, then words: what comes at once should not flicker. */
export function Waiting({ words = 'Reading the line folder …' }: { readonly words?: string }): ReactNode {
  const [isLate, setLate] = useState(false);
  useEffect(() => {
    const timer = setTimeout(() => setLate(true), 300);
    return () => clearTimeout(timer);
  }, []);
  return (
    <p className="soft waiting" role="status">
      {isLate ? words : ''}
    </p>
  );
}
