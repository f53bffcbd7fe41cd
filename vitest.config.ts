import { defineConfig } from 'vitest/config';

/** Only ends what hangs: on a machine that does nine other things the slowest test took more than a quarter of an hour. */
const PATIENCE = 45 * 60_000;

export default defineConfig({
  test: {
    projects: [
      {
        test: {
          name: 'unit',
          include: ['tests/**/*.test.ts'],
          exclude: ['tests/browser/**', 'tests/e2e/**', 'tests/benchmarks/**'],
          environment: 'node',
          testTimeout: PATIENCE,
          hookTimeout: PATIENCE,
        },
      },
      {
        test: {
          name: 'e2e',
          include: ['tests/e2e/**/*.test.ts'],
          environment: 'node',
          testTimeout: PATIENCE,
          hookTimeout: PATIENCE,
          maxWorkers: 2,
        },
      },
    ],
  },
});
