import type { BenchResult } from '../measure/tone-bench/result.ts';

/** Keys that every bench's JSON begins with, in this order: a promise. */
export const BENCH_KEYS = [
  'test',
  'fundamentalDbfs',
  'harmonics',
  'thdFPercent',
  'thdRPercent',
  'thdNPercent',
  'evenDbc',
  'oddDbc',
  'dcDbfs',
  'aliasDbc',
  'dm2Percent',
  'dm3Percent',
  'dd2Percent',
  'dd3Percent',
  'products',
] as const satisfies readonly (keyof BenchResult)[];

/** The promised keys, then the rest; what belongs to other tests is left out. */
export function benchJson(result: BenchResult): Record<string, unknown> {
  const first = Object.fromEntries(BENCH_KEYS.map((key) => [key, result[key]]));
  const { points, floor, stack, ...rest } = result;
  return {
    ...first,
    ...rest,
    ...(points.length > 0 ? { points } : {}),
    ...(floor ? { floor } : {}),
    ...(stack ? { stack } : {}),
  };
}
