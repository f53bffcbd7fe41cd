import type { RackConfig } from '../engine/config.ts';
import { EMPTY_RACK } from '../engine/config.ts';
import { EngineContext } from '../engine/engine-context.ts';
import { instantiateKernels } from '../engine/kernels.ts';
import { RACK_LATENCY } from '../engine/oversampling.ts';
import type { RackProcessor } from '../engine/rack-processor.ts';
import { MAX_FRAMES } from '../engine/rack-processor.ts';

/** One (mono) or two planes of equal length. */
export type Planes = readonly Float32Array[];

/** Frames rendered between two chances to stop. */
const SLICE = 1 << 11;

/** Frames of a sum added up at once. */
const SUM_FRAMES = 1 << 13;

/**
 * Renders whole recordings through one rack, with the same kernels and the same arithmetic as the listening engine, so
 * that the result is the rack's output there, sample for sample, less the latency.
 */
export class RackRenderer {
  private readonly context: EngineContext;
  private readonly processor: RackProcessor;
  private readonly buffer: number;
  private readonly left: number;
  private readonly right: number;
  private readonly sumBlock: number;
  private readonly sourceBlock: number;

  /** @param isQuick levels only, in a hurry: see `EngineContext` */
  constructor(sampleRate: number, factor: 4 | 8, alignmentDbfs: number, isQuick = false) {
    this.context = new EngineContext(instantiateKernels(), sampleRate, factor, alignmentDbfs, isQuick);
    this.processor = this.context.createRack(EMPTY_RACK);
    this.buffer = this.context.heap.allocate((MAX_FRAMES + 4) * 8);
    this.left = this.context.heap.allocate((MAX_FRAMES + 4) * 4);
    this.right = this.context.heap.allocate((MAX_FRAMES + 4) * 4);
    this.sumBlock = this.context.heap.allocate(SUM_FRAMES * 4);
    this.sourceBlock = this.context.heap.allocate(SUM_FRAMES * 4);
  }

  /**
   * The rack's output for `input`, as many planes and frames; a mono input stays mono. Yields now and then, so that a
   * caller can give up a job that is out of date.
   */
  *render(config: RackConfig, input: Planes): Generator<void, Float32Array[]> {
    const { kernels, heap } = this.context;
    const length = input[0].length;
    const output = input.map(() => new Float32Array(length));
    if (config.stages.length === 0 || !config.on) {
      output.forEach((plane, index) => {
        plane.set(input[index]);
      });
      return output;
    }
    this.processor.reset(config);
    for (let at = 0; at < length + RACK_LATENCY; at += MAX_FRAMES) {
      const frames = Math.min(MAX_FRAMES, length + RACK_LATENCY - at);
      this.load(this.left, input[0], at, frames);
      if (input.length > 1) this.load(this.right, input[1], at, frames);
      kernels.interleave(this.left, input.length > 1 ? this.right : this.left, this.buffer, frames);
      this.processor.process(this.buffer, frames);
      kernels.deinterleave(this.buffer, this.left, this.right, frames);
      const to = at - RACK_LATENCY;
      const skip = Math.max(0, -to);
      output.forEach((plane, index) => {
        const from = (index === 0 ? this.left : this.right) >> 2;
        if (skip < frames) plane.set(heap.f32.subarray(from + skip, from + frames), to + skip);
      });
      if (at % SLICE === 0) yield;
    }
    return output;
  }

  /**
   * sum += side gain · (match · planes), by the kernels that add up the session while it plays.
   * @param planes one (mono, on both sides of the sum) or two
   */
  addInto(sum: readonly Float32Array[], planes: Planes, match: number, left: number, right: number): void {
    const { kernels, heap } = this.context;
    const [target, source] = [this.sumBlock, this.sourceBlock];
    sum.forEach((into, side) => {
      const plane = planes[Math.min(side, planes.length - 1)];
      for (let at = 0; at < plane.length; at += SUM_FRAMES) {
        const end = Math.min(plane.length, at + SUM_FRAMES);
        heap.f32.set(into.subarray(at, end), target >> 2);
        heap.f32.set(plane.subarray(at, end), source >> 2);
        kernels.addPlane(target, source, end - at, match, side === 0 ? left : right);
        into.set(heap.f32.subarray(target >> 2, (target >> 2) + end - at), at);
      }
    });
  }

  private load(address: number, plane: Float32Array, at: number, frames: number): void {
    const { f32 } = this.context.heap;
    const available = Math.max(0, Math.min(frames, plane.length - at));
    f32.set(plane.subarray(at, at + available), address >> 2);
    f32.fill(0, (address >> 2) + available, (address >> 2) + frames);
  }
}
