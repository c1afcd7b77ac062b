import { defineConfig } from 'vitest/config';

// Locale and time zone are pinned so that the tests read the same everywhere.
process.env.TZ = 'UTC';
process.env.LC_ALL = 'C';

export default defineConfig({
  test: {
    include: ['test/**/*.test.ts'],
    setupFiles: ['test/support/propertySeed.ts'],
    testTimeout: 60_000,
    // what a page will show is waited for as long as a busy machine may take; a right answer comes as soon as it is there
    expect: { poll: { timeout: 15_000 } },
    pool: 'forks',
    maxWorkers: 2,
  },
});
