import { useCallback, useMemo } from 'react';
import { useSearchParams } from 'wouter';
import type { TimeWindow } from './held.js';
import { fromAddress, toAddress } from './window.js';

/** The window of a trend as it stands in the address (`from`, `to`): what a link reopens. Undefined is the whole recording. */
export function useTrendAddress(): [TimeWindow | undefined, (window: TimeWindow | undefined) => void] {
  const [search, setSearch] = useSearchParams();
  const text = `${search.get('from')} ${search.get('to')}`;
  // the text is all that the window depends on
  const window = useMemo(() => fromAddress(search), [text]);
  const set = useCallback(
    (next: TimeWindow | undefined): void =>
      setSearch(
        (before) => {
          const search = new URLSearchParams(before);
          for (const key of ['from', 'to'] as const)
            if (next === undefined) search.delete(key);
            else search.set(key, toAddress(next)[key]);
          return search;
        },
        { replace: true },
      ),
    [setSearch],
  );
  return [window, set];
}
