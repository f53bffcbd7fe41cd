import { kernelsBase64 } from './kernels.generated.ts';

/** The exported functions of worklets/kernels. Pointers are byte addresses; frames are stereo frames. */
export interface Kernels {
  readonly memory: WebAssembly.Memory;
  start(): void;
  heapStart(): number;
  interleave(left: number, right: number, target: number, frames: number): void;
  deinterleave(source: number, left: number, right: number, frames: number): void;
  copy(target: number, source: number, frames: number): void;
  delay(buffer: number, frames: number, delay: number, history: number): void;
  // biome-ignore format: one line each reads as a table
  combine(buffer: number, added: number, frames: number, gain0: number, gain1: number, share0: number, share1: number, match0: number, match1: number): void;
  // biome-ignore format: as above
  mixInto(target: number, source: number, frames: number, left0: number, left1: number, right0: number, right1: number): void;
  addPlane(target: number, source: number, frames: number, match: number, gain: number): void;
  // biome-ignore format: as above
  fadeSides(target: number, a: number, b: number, frames: number, a0: number, a1: number, b0: number, b1: number): void;
  upsample(source: number, target: number, frames: number, pairs: number, taps: number, history: number): void;
  downsample(source: number, target: number, frames: number, pairs: number, taps: number, history: number): void;
  upsampleFull(source: number, target: number, frames: number, pairs: number, taps: number, history: number): void;
  downsampleFull(source: number, target: number, frames: number, pairs: number, taps: number, history: number): void;
  preGain(source: number, target: number, frames: number, g0: number, g1: number): void;
  // biome-ignore format: as above
  tilt(buffer: number, frames: number, state: number, a0: number, a1: number, lo0: number, lo1: number, hi0: number, hi1: number): void;
  // biome-ignore format: as above
  addStage(signal: number, difference: number, added: number, frames: number, g0: number, g1: number, post0: number, post1: number, coupling0: number, coupling1: number, on0: number, on1: number, pole: number, state: number): void;
  // biome-ignore format: as above
  addStill(signal: number, difference: number, added: number, frames: number, g: number, post: number, coupling: number, pole: number, state: number): void;
  /** Describes a dear curve's table for its double-precision coefficients; how many cells it takes. */
  describeTable(kernel: number, c: number, table: number): number;
  fillTable(kernel: number, c: number, table: number, from: number, count: number): void;
  prepare(kernel: number, inputs: number, c: number, rate: number): void;
  evaluate(kernel: number, source: number, target: number, count: number, c: number): void;
  // biome-ignore format: as above
  crossMix(buffer: number, frames: number, ll0: number, ll1: number, lr0: number, lr1: number, rl0: number, rl1: number, rr0: number, rr1: number): void;
  // biome-ignore format: as above
  bandPass(buffer: number, frames: number, low0: number, low1: number, high0: number, high1: number, mix0: number, mix1: number, state: number): void;
  runCircuit(kernel: number, buffer: number, frames: number, c0: number, c1: number, state: number): void;
  valveAt(volts: number, results: number): void;
  // biome-ignore format: as above
  magnetise(fields: number, count: number, core: number, ms: number, a: number, k: number, alpha: number, c: number): void;
  shape(kernel: number, source: number, target: number, frames: number, c: number): void;
  // biome-ignore format: as above
  shapeMoving(kernel: number, source: number, target: number, other: number, frames: number, c0: number, c1: number): void;
  // biome-ignore format: as above
  shapeCorners(kernel: number, buffer: number, frames: number, c0: number, c1: number, moving: number, history: number): void;
}

/** The compiled kernels as bytes, for hosts that pass them on. */
export function kernelBytes(): Uint8Array<ArrayBuffer> {
  const { atob } = globalThis as unknown as { atob: (text: string) => string };
  const text = atob(kernelsBase64);
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) bytes[i] = text.charCodeAt(i);
  return bytes;
}

/**
 * One instance of the kernels. The audio thread is given a compiled module or the bytes and calls this before it plays.
 * @throws Error when the engine has no WebAssembly SIMD.
 */
export function instantiateKernels(source: WebAssembly.Module | Uint8Array<ArrayBuffer> = kernelBytes()): Kernels {
  const module = source instanceof Uint8Array ? new WebAssembly.Module(source) : source;
  const instance = new WebAssembly.Instance(module, {
    env: {
      abort(): void {
        throw new Error('A kernel stopped itself.');
      },
    },
  });
  const kernels = instance.exports as unknown as Kernels;
  kernels.start();
  return kernels;
}
