/** Runs racks over a second of noise-like stereo sound, without measuring anything but the engine. */
import { seededRandom } from '../../src/dsp/random.ts';
import type { StageConfig } from '../../src/engine/config.ts';
import { EngineContext } from '../../src/engine/engine-context.ts';
import { MAX_FRAMES } from '../../src/engine/rack-processor.ts';
import { freshKernels, rack } from '../support/rig.ts';

export const RATE = 48000;

/** Pink-like noise with a low tone, about −20 dBFS, interleaved stereo, one second. */
const programme = (() => {
  const random = seededRandom(3);
  const state = [0, 0];
  return Float32Array.from({ length: 2 * RATE }, (_, i) => {
    state[i & 1] += 0.2 * (random() - 0.5 - state[i & 1]);
    return 0.5 * state[i & 1] + 0.15 * Math.sin((i >> 1) * 0.02);
  });
})();

export interface RunOptions {
  readonly factor?: 4 | 8;
  readonly racks?: number;
  readonly gain?: number;
  readonly sampleRate?: number;
  /** Interleaved stereo, one second; pink-like noise with a low tone where left out. */
  readonly input?: Float32Array;
}

/** A function that processes one second of stereo through racks of these stages. */
export function secondOf(stages: StageConfig[], options: RunOptions = {}): () => void {
  const { factor = 4, racks = 1, gain = 1, sampleRate = RATE, input = programme } = options;
  const context = new EngineContext(freshKernels(), sampleRate, factor, -18);
  const buffer = context.heap.allocate((MAX_FRAMES + 4) * 8);
  const processors = Array.from({ length: racks }, () => context.createRack(rack(stages)));
  const blocks = Math.floor(input.length / 2 / MAX_FRAMES);
  return () => {
    for (let block = 0; block < blocks; block++) {
      for (const processor of processors) {
        const { f32 } = context.heap;
        const from = block * MAX_FRAMES * 2;
        for (let i = 0; i < MAX_FRAMES * 2; i++) f32[(buffer >> 2) + i] = gain * input[from + i];
        processor.process(buffer, MAX_FRAMES);
      }
    }
  };
}
