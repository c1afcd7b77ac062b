import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import type { Line } from '../../../engine/line/line.js';
import { problemOf } from '../../api/client.js';
import { queries } from '../../api/queries.js';
import { useLineSources } from '../../line/sources.js';
import { useUnits } from '../../state/units.js';
import { lineState } from './lineState.js';

/** The line as it is on disk, with all that was measured on it. */
export function useLine(): { readonly line?: Line; readonly problem?: ReturnType<typeof problemOf> } {
  const { system } = useUnits();
  const { data, error } = useQuery(queries.line());
  const { sources, isReady } = useLineSources(data?.document);
  return useMemo(() => {
    if (error) return { problem: problemOf(error) };
    if (data === undefined) return {};
    if (data.document === undefined)
      return { problem: data.error ?? problemOf(new Error('line.yaml cannot be read')) };
    if (!isReady) return {};
    const { line, problem } = lineState(data.document, sources, system, undefined);
    return { ...(line && { line }), ...(problem && { problem }) };
  }, [data, error, sources, isReady, system]);
}
