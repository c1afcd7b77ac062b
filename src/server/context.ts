import type { Events } from './events/events.js';
import type { Jobs } from './jobs/jobs.js';
import type { Pool } from './jobs/pool.js';
import type { Recordings } from './recordings/recordings.js';
import type { Uploads } from './recordings/uploads.js';

/** What the routes share. */
export interface Context {
  /** The line folder, links resolved. */
  readonly folder: string;
  readonly programVersion: string;
  readonly jobs: Jobs;
  readonly pool: Pool;
  readonly events: Events;
  readonly recordings: Recordings;
  readonly uploads: Uploads;
}
