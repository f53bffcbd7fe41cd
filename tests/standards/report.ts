/** Checks figures against a standard's tolerance and against our own goal, and prints what was measured. */
import { afterAll, expect } from 'vitest';

const rows: string[] = [];

afterAll(() => {
  if (rows.length > 0) console.log(rows.splice(0).join('\n'));
});

export interface Limits {
  /** Tolerance of the standard: one number for ±, or below and above. */
  readonly standard: number | readonly [below: number, above: number];
  /** Our goal, ±, from `exact`. */
  readonly goal: number;
  /** What the standard's equations give for this very signal, if that isn't the nominal value. */
  readonly exact?: number;
}

/** Asserts that `measured` lies within the standard's tolerance of `nominal` and within our goal. */
export function check(what: string, measured: number, nominal: number, unit: string, limits: Limits): void {
  const [below, above] = typeof limits.standard === 'number' ? [limits.standard, limits.standard] : limits.standard;
  const exact = limits.exact ?? nominal;
  rows.push(
    `${what}: ${measured.toFixed(3)} ${unit}; standard ${nominal.toFixed(2)} +${above}/−${below}; ` +
      `goal ${exact.toFixed(3)} ±${limits.goal}`,
  );
  expect(measured, `${what}, standard`).toBeGreaterThanOrEqual(nominal - below);
  expect(measured, `${what}, standard`).toBeLessThanOrEqual(nominal + above);
  near(measured, exact, limits.goal, `${what}, goal`);
}

/** Asserts |actual − expected| ≤ tolerance. */
export function near(actual: number | null | undefined, expected: number, tolerance: number, what = 'value'): void {
  expect(actual, what).not.toBeNull();
  expect(Math.abs((actual as number) - expected), `${what}: ${actual} against ${expected}`).toBeLessThanOrEqual(
    tolerance,
  );
}

/** Adds a line to what the file prints at its end. */
export function note(line: string): void {
  rows.push(line);
}
