/** A rack in an AudioWorklet, for the bench. */
import { EngineContext } from '../../src/engine/engine-context.ts';
import { instantiateKernels } from '../../src/engine/kernels.ts';

class BenchRack extends AudioWorkletProcessor {
  constructor(options) {
    super();
    const { stages, module } = options.processorOptions;
    this.context = new EngineContext(instantiateKernels(module), sampleRate, 4, -18);
    this.buffer = this.context.heap.allocate(132 * 8);
    this.planes = [this.context.heap.allocate(132 * 4), this.context.heap.allocate(132 * 4)];
    this.rack = this.context.createRack({ on: true, stages, match: 1 });
  }

  process(inputs, outputs) {
    const { kernels, heap } = this.context;
    const [left, right] = this.planes;
    const [input] = inputs;
    const [output] = outputs;
    const frames = output[0].length;
    if (input.length < 2) return true;
    heap.f32.set(input[0], left >> 2);
    heap.f32.set(input[1], right >> 2);
    kernels.interleave(left, right, this.buffer, frames);
    this.rack.process(this.buffer, frames);
    kernels.deinterleave(this.buffer, left, right, frames);
    output[0].set(heap.f32.subarray(left >> 2, (left >> 2) + frames));
    output[1].set(heap.f32.subarray(right >> 2, (right >> 2) + frames));
    return true;
  }
}

registerProcessor('bench-rack', BenchRack);
