/** The tone bench in Node, on racks of the tests. */

import type { StageConfig } from '../../src/engine/config.ts';
import type { BenchResult } from '../../src/measure/tone-bench/result.ts';
import type { BenchTestId } from '../../src/measure/tone-bench/spec.ts';
import { ToneBench } from '../../src/measure/tone-bench/tone-bench.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import { rack } from './rig.ts';

/** One for all, since making an engine costs more than a measurement. */
const bench = new ToneBench();

export interface BenchOptions {
  sampleRate?: number;
  oversampling?: 4 | 8;
  alignmentDbfs?: number;
  match?: number;
}

export function runBench(
  test: BenchTestId,
  stages: StageConfig[],
  values: Record<string, number> = {},
  { sampleRate = 48_000, oversampling = 4, alignmentDbfs = -18, match = 1 }: BenchOptions = {},
): BenchResult {
  return runToEnd(bench.run({ test, rack: rack(stages, match), sampleRate, oversampling, alignmentDbfs, values }));
}

/** Every number in a result is finite, so that JSON holds no null that isn't one. */
export function numbersIn(value: unknown): number[] {
  if (typeof value === 'number') return [value];
  if (typeof value !== 'object' || value === null) return [];
  return Object.values(value).flatMap(numbersIn);
}
