/** The numeric kernels of the engine, one WebAssembly instance per host. Memory is laid out by src/engine/heap.ts. */
export { bandPass, crossMix } from './placement';
export { addStage, preGain, tilt } from './stage';
export { addPlane, combine, copy, deinterleave, delay, fadeSides, interleave, mixInto } from './rack';
export { downsample, upsample } from './oversampler';
export { downsampleFull, upsampleFull } from './full-band';
export { describeTable, evaluate, fillTable, prepare, runCircuit, shape } from './dispatch.generated';
export { valveAt } from './koren';
export { magnetise } from './magnetics';
export { shapeMoving } from './shape-moving';
export { shapeCorners } from './corners';

/** First byte that the kernels don't use themselves. */
export function heapStart(): usize {
  return __heap_base;
}
export { addStill } from './still';
