/** A rack or a session engine in Node, for tests. */
import { stageConfig } from '../../src/engine/calibration.ts';
import type { RackConfig, StageConfig } from '../../src/engine/config.ts';
import { EngineContext } from '../../src/engine/engine-context.ts';
import { instantiateKernels, kernelBytes } from '../../src/engine/kernels.ts';
import { RACK_LATENCY } from '../../src/engine/oversampling.ts';
import { toNumber } from '../../src/engine/parameters.ts';
import { MAX_FRAMES } from '../../src/engine/rack-processor.ts';
import { findStageKind } from '../../src/engine/stages/catalogue.ts';
import type { StageKind } from '../../src/engine/stages/stage-kind.ts';

/** Compiled once; every rig gets an instance of its own. */
const module = new WebAssembly.Module(kernelBytes());

export function freshKernels() {
  return instantiateKernels(module);
}

let keys = 0;

/** A stage of a kind with some parameters set and the others at their defaults. */
export function stage(kindId: string, params: Record<string, number | string> = {}, on = true): StageConfig {
  const kind = findStageKind(kindId);
  if (!kind) throw new Error(`no kind ${kindId}`);
  for (const id of Object.keys(params)) {
    if (!kind.parameters.some((parameter) => parameter.id === id)) throw new Error(`no parameter ${id}`);
  }
  keys++;
  const values = kind.parameters.map((parameter) => toNumber(parameter, params[parameter.id] ?? parameter.default));
  return stageConfig(kind, { key: `stage-${keys}`, on, values });
}

export function rack(stages: StageConfig[], match = 1): RackConfig {
  return { on: true, stages, match };
}

export interface RigOptions {
  sampleRate?: number;
  factor?: 4 | 8;
  blocks?: (index: number) => number;
  alignmentDbfs?: number;
  /** The kinds that the engine is given, the catalogue's where left out. */
  kinds?: readonly StageKind[];
  /** Called before each block with the frame it starts at. */
  before?: (frame: number, processor: ReturnType<EngineContext['createRack']>) => void;
}

/**
 * Runs stereo planes through one rack and returns planes of the same length, latency removed.
 */
export function runRack(
  config: RackConfig,
  planes: Float32Array[],
  options: RigOptions = {},
): [Float32Array, Float32Array] {
  const { sampleRate = 48000, factor = 4, blocks = () => MAX_FRAMES, alignmentDbfs = -18, kinds } = options;
  const kernels = freshKernels();
  const context = new EngineContext(kernels, sampleRate, factor, alignmentDbfs, false, kinds);
  const buffer = context.heap.allocate((MAX_FRAMES + 4) * 8);
  const planar = [context.heap.allocate((MAX_FRAMES + 4) * 4), context.heap.allocate((MAX_FRAMES + 4) * 4)];
  const processor = context.createRack(config);
  const [left, right = left] = planes;
  const length = left.length;
  const out: [Float32Array, Float32Array] = [new Float32Array(length), new Float32Array(length)];
  const total = length + RACK_LATENCY;
  let index = 0;
  for (let done = 0; done < total; ) {
    const frames = Math.min(MAX_FRAMES, total - done, Math.max(1, blocks(index++)));
    options.before?.(done, processor);
    const { f32 } = context.heap;
    for (let i = 0; i < frames; i++) {
      f32[(planar[0] >> 2) + i] = left[done + i] ?? 0;
      f32[(planar[1] >> 2) + i] = right[done + i] ?? 0;
    }
    kernels.interleave(planar[0], planar[1], buffer, frames);
    processor.process(buffer, frames);
    kernels.deinterleave(buffer, planar[0], planar[1], frames);
    for (let i = 0; i < frames; i++) {
      const to = done + i - RACK_LATENCY;
      if (to < 0) continue;
      out[0][to] = f32[(planar[0] >> 2) + i];
      out[1][to] = f32[(planar[1] >> 2) + i];
    }
    done += frames;
  }
  return out;
}
