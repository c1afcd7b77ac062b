import type { BoardAction, BoardView } from '../../engine/project/board/boardDocument.js';

/** A view of the workbench as its address. */
export interface ViewAddress {
  readonly id: string;
  readonly label: string;
  /** Address pattern, as wouter reads it. */
  readonly pattern: string;
  readonly path: string;
}

/** The views that there are, in the order of the work. One that is not in this list is not shown anywhere; views.ts says what each consists of. */
export const viewAddresses = [
  { id: 'board', label: 'Board', pattern: '/', path: '/' },
  { id: 'line', label: 'Line', pattern: '/line', path: '/line' },
  { id: 'recordings', label: 'Recordings', pattern: '/recordings/*?', path: '/recordings' },
  { id: 'identify', label: 'Identify', pattern: '/identify', path: '/identify' },
  { id: 'feed-forward', label: 'Feed-forward', pattern: '/feed-forward', path: '/feed-forward' },
  { id: 'programs', label: 'Programs', pattern: '/programs/:product?', path: '/programs' },
  { id: 'roll', label: 'Roll', pattern: '/roll/:roll?', path: '/roll' },
] as const satisfies readonly ViewAddress[];
export type ViewId = (typeof viewAddresses)[number]['id'];

const has = (view: BoardView): boolean => viewAddresses.some((v) => v.id === view);

/** The name by which the API knows a file: without folder and ending. */
export const stemOf = (path: string): string => path.replace(/^.*\//, '').replace(/\.ya?ml$/i, '');

/** Address of the place where a step of the board is done; undefined while there is no view for it. */
export function addressOf({
  view,
  parameters,
}: Pick<BoardAction, 'view' | 'parameters'>): string | undefined {
  const isSheet = view === 'test-sheet';
  if (!has(isSheet ? 'recordings' : view)) return undefined;
  if (view === 'programs')
    return parameters.product === undefined
      ? '/programs'
      : `/programs/${encodeURIComponent(stemOf(parameters.product))}`;
  const search = new URLSearchParams(
    Object.entries(parameters).map(([key, value]): [string, string] => [key, String(value)]),
  ).toString();
  return `/${isSheet ? 'recordings/test-sheet' : view}${search === '' ? '' : `?${search}`}`;
}
