import { RackRenderer } from '../../render/rack-renderer.ts';
import type { BenchJob } from './bench-job.ts';
import { pairTest } from './pair-tests.ts';
import type { BenchResult } from './result.ts';
import type { BenchSpec, BenchTestId } from './spec.ts';
import { benchValues } from './spec.ts';
import { benchFault } from './spec-fault.ts';
import { stackTest } from './stack-test.ts';
import { SteadyState } from './steady-state.ts';
import { floorTest, frequencySweep, levelSweep, toneTest } from './tone-tests.ts';

const TESTS: Readonly<Record<BenchTestId, (job: BenchJob) => Generator<void, BenchResult>>> = {
  tone: toneTest,
  'level-sweep': levelSweep,
  'frequency-sweep': frequencySweep,
  smpte: pairTest,
  difference: pairTest,
  floor: floorTest,
  stack: stackTest,
};

/** A request that can't be measured; the message is a sentence for the user. */
export class BenchError extends Error {
  override readonly name = 'BenchError';
}

/**
 * Puts test signals through racks with the listening engine's own kernels, over-sampling and filters, in memory of its
 * own: what is playing is not touched, and nothing of it is heard.
 */
export class ToneBench {
  private renderer: { readonly key: string; readonly renderer: RackRenderer } | null = null;

  /**
   * A generator that yields about every 10 ms, so that a job that is out of date can be dropped.
   * @throws BenchError for a request that can't be measured
   */
  *run(spec: BenchSpec): Generator<void, BenchResult> {
    const fault = benchFault(spec);
    if (fault) throw new BenchError(fault);
    const { sampleRate, oversampling, alignmentDbfs } = spec;
    const key = `${sampleRate} ${oversampling} ${alignmentDbfs}`;
    if (this.renderer?.key !== key) {
      this.renderer = { key, renderer: new RackRenderer(sampleRate, oversampling, alignmentDbfs) };
    }
    yield;
    const steady = new SteadyState(this.renderer.renderer, sampleRate);
    return yield* TESTS[spec.test]({ spec, values: benchValues(spec), steady });
  }
}
