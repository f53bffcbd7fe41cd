import { expect } from 'vitest';

/** Asserts |actual − expected| ≤ tolerance. */
export function near(actual: number | null | undefined, expected: number, tolerance: number, what = 'value'): void {
  expect(actual, what).not.toBeNull();
  expect(Math.abs((actual as number) - expected), `${what}: ${actual} against ${expected}`).toBeLessThanOrEqual(
    tolerance,
  );
}
