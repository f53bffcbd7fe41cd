import type { BenchResult } from '../measure/tone-bench/result.ts';
import type { BenchTest, BenchTestId } from '../measure/tone-bench/spec.ts';
import type { RackId } from '../session/document.ts';
import type { Observable } from './observable.ts';

export type {
  BenchFloor,
  BenchPoint,
  BenchProduct,
  BenchResult,
  BenchTone,
  StackTable,
  ToneFigures,
} from '../measure/tone-bench/result.ts';
export type { BenchParameter, BenchTest, BenchTestId } from '../measure/tone-bench/spec.ts';

/** A test of one rack as the document has it. */
export interface BenchRequest {
  readonly rackId: RackId;
  readonly test: BenchTestId;
  /** By parameter id; what isn't given has its default. */
  readonly values: Readonly<Record<string, number>>;
}

/**
 * The tone bench. Whoever wires it completes the request to a `BenchSpec` from the document of this moment (rack,
 * sample rate, over-sampling, alignment) and hands it to the analysis, which runs it beside the sound, never in it.
 */
export interface BenchStore extends Observable {
  readonly tests: readonly BenchTest[];
  /** One or two sentences that say that the bench is silent. */
  readonly silent: string;
  /** Rejects with an Error whose message is a sentence for the user. The screen ignores answers it no longer wants. */
  run(request: BenchRequest): Promise<BenchResult>;
}
