import { defineConfig } from 'vitest/config';

/** Only ends what hangs: ten times what the slowest test takes on a machine that does other things as well. */
const PATIENCE = 15 * 60_000;

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
