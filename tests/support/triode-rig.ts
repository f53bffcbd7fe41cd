/** The triode's kernel by itself, in volts, without the rack around it. */
import { circuitInputs } from '../../src/engine/circuit-probe.ts';
import { Heap } from '../../src/engine/heap.ts';
import { toNumber } from '../../src/engine/parameters.ts';
import { MAX_COEFFICIENTS } from '../../src/engine/stages/stage-kind.ts';
import { triode } from '../../src/engine/stages/triode.ts';
import { freshKernels } from './rig.ts';

const BLOCK = 512;

/** Kernel coefficients of the triode's working point: see the kernel's own list. */
export interface WorkingPoint {
  readonly current: number;
  readonly plateVolts: number;
  readonly gridVolts: number;
  readonly gm: number;
  readonly gp: number;
  /** 1 over the gain in the middle of the band. */
  readonly out: number;
}

/** Runs volts at the input through the kernel and returns what it adds to them, in volts at the input. */
export function runTriode(
  params: Record<string, number | string>,
  input: Float32Array,
  rate: number,
  /** Values beyond what the stage's controls allow. */
  beyond: Record<string, number> = {},
) {
  const kernels = freshKernels();
  const heap = new Heap(kernels);
  const values = triode.parameters.map((p) => beyond[p.id] ?? toNumber(p, params[p.id] ?? p.default));
  const circuit = triode.circuit(values);
  const inputsAt = heap.allocate(8 * MAX_COEFFICIENTS);
  const at = heap.allocate(12 * MAX_COEFFICIENTS);
  const buffer = heap.allocate(8 * BLOCK);
  const state = heap.allocate(circuit.stateBytes);
  heap.f64.set(circuitInputs(circuit, values), inputsAt >> 3);
  kernels.prepare(circuit.number, inputsAt, at, rate);
  const added = new Float32Array(input.length);
  for (let done = 0; done < input.length; done += BLOCK) {
    const frames = Math.min(BLOCK, input.length - done);
    const { f32 } = heap;
    for (let i = 0; i < frames; i++) {
      f32[(buffer >> 2) + 2 * i] = input[done + i];
      f32[(buffer >> 2) + 2 * i + 1] = 0.5 * input[done + i];
    }
    kernels.runCircuit(circuit.number, buffer, frames, at, at, state);
    for (let i = 0; i < frames; i++) added[done + i] = f32[(buffer >> 2) + 2 * i];
  }
  const [current, plateVolts, gridVolts] = heap.f64.slice(at >> 3, (at >> 3) + 3);
  const [gm, gp, out] = heap.f64.slice((at >> 3) + 3, (at >> 3) + 6);
  return { added, point: { current, plateVolts, gridVolts, gm, gp, out } satisfies WorkingPoint };
}
