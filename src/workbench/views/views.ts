import { type ComponentType, lazy } from 'react';
import type { ViewId } from './addresses.js';

/** What each view consists of, loaded when it is first opened. */
export const viewComponents: Readonly<Record<ViewId, ComponentType>> = {
  board: lazy(async () => ({ default: (await import('./board/BoardView.js')).BoardView })),
  line: lazy(async () => ({ default: (await import('./line/LineView.js')).LineView })),
  recordings: lazy(async () => ({
    default: (await import('./recordings/RecordingsView.js')).RecordingsView,
  })),
  identify: lazy(async () => ({ default: (await import('./identify/IdentifyView.js')).IdentifyView })),
  'feed-forward': lazy(async () => ({
    default: (await import('./feedforward/FeedForwardView.js')).FeedForwardView,
  })),
  programs: lazy(async () => ({ default: (await import('./programs/ProgramsView.js')).ProgramsView })),
  roll: lazy(async () => ({ default: (await import('./roll/RollView.js')).RollView })),
};
