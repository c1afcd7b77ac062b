import { type QueryClient, useQueryClient } from '@tanstack/react-query';
import { useEffect, useSyncExternalStore } from 'react';
import type { FolderChange } from './types.js';

/** Which kept answers a change of a file makes stale. */
export function staleKeys(path: string): string[] {
  const [place = ''] = path.split('/');
  if (path === 'line.yaml') return ['line', 'folder', 'board'];
  if (place === 'exports' || place === 'recordings') return ['recordings', 'board', 'identifications'];
  // a result says whether its drive file is as it was
  if (place === 'drives') return ['drives', 'board', 'identifications'];
  return [place, 'board'];
}

let isConnected = true;
const listeners = new Set<() => void>();
const setConnected = (now: boolean): void => {
  if (isConnected === now) return;
  isConnected = now;
  for (const tell of listeners) tell();
};
const subscribe = (listener: () => void): (() => void) => {
  listeners.add(listener);
  return () => listeners.delete(listener);
};

/** False while the server does not answer. */
export const useIsConnected = (): boolean => useSyncExternalStore(subscribe, () => isConnected);

function listen(client: QueryClient): () => void {
  const source = new EventSource('/api/events');
  source.addEventListener('ready', () => {
    // whatever happened while nobody listened is asked for anew
    if (!isConnected) void client.invalidateQueries();
    setConnected(true);
  });
  source.addEventListener('change', (event) => {
    const { path } = JSON.parse((event as MessageEvent<string>).data) as FolderChange;
    for (const key of staleKeys(path)) void client.invalidateQueries({ queryKey: [key] });
  });
  source.addEventListener('job', (event) => {
    const { id } = JSON.parse((event as MessageEvent<string>).data) as { id: string };
    void client.invalidateQueries({ queryKey: ['jobs', id] });
  });
  source.addEventListener('error', () => setConnected(false));
  return () => source.close();
}

/** Keeps what is shown equal to what is on disk. */
export function useFolderEvents(): void {
  const client = useQueryClient();
  useEffect(() => listen(client), [client]);
}
