/** The hysteresis core by itself, in A/m. */
import { Heap } from '../../src/engine/heap.ts';
import { MAX_COEFFICIENTS } from '../../src/engine/stages/stage-kind.ts';
import { freshKernels } from './rig.ts';

/** Jiles and Atherton's constants: saturation, shape and pinning in A/m, coupling, reversible share. */
export interface Material {
  readonly ms: number;
  readonly a: number;
  readonly k: number;
  readonly alpha: number;
  readonly c: number;
}

/** Magnetisation, A/m, along fields in A/m, from a core that was never magnetised. */
export function magnetise({ ms, a, k, alpha, c }: Material, fields: Float64Array): Float64Array {
  const kernels = freshKernels();
  const heap = new Heap(kernels);
  const at = heap.allocate(8 * fields.length);
  const core = heap.allocate(8 * MAX_COEFFICIENTS);
  heap.f64.set(
    fields.map((h) => h / a),
    at >> 3,
  );
  kernels.magnetise(at, fields.length, core, ms, a, k, alpha, c);
  return heap.f64.slice(at >> 3, (at >> 3) + fields.length).map((m) => m * ms);
}
