/** A circuit with memory by itself, in its kernel's own units, without the rack around it. */
import { circuitInputs } from '../../src/engine/circuit-probe.ts';
import { Heap } from '../../src/engine/heap.ts';
import { toNumber } from '../../src/engine/parameters.ts';
import type { StageKind } from '../../src/engine/stages/stage-kind.ts';
import { MAX_COEFFICIENTS } from '../../src/engine/stages/stage-kind.ts';
import { freshKernels } from './rig.ts';

const BLOCK = 512;

export interface CircuitRun {
  /** What the circuit adds to each input, left channel. */
  readonly added: Float32Array;
  /** The kernel's coefficients in double precision. */
  readonly coefficients: Float64Array;
  /** Its memory after the last frame, left channel: one number for each of the kernel's 16 bytes. */
  readonly memory: Float64Array;
}

/**
 * Runs `input` through a kind's kernel at `rate` Hz; the right channel gets half of it.
 * @param beyond values past what the stage's controls allow
 */
export function runCircuit(
  kind: StageKind,
  params: Record<string, number | string>,
  input: Float32Array,
  rate: number,
  beyond: Record<string, number> = {},
): CircuitRun {
  const kernels = freshKernels();
  const heap = new Heap(kernels);
  const values = kind.parameters.map((p) => beyond[p.id] ?? toNumber(p, params[p.id] ?? p.default));
  const circuit = kind.circuit(values);
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
  return {
    added,
    coefficients: heap.f64.slice(at >> 3, (at >> 3) + MAX_COEFFICIENTS),
    memory: Float64Array.from({ length: circuit.stateBytes / 16 }, (_, i) => heap.f64[(state >> 3) + 2 * i]),
  };
}

/** Amplitude and phase of harmonic `n` over `frames` samples that hold `periods` whole periods. */
export function harmonic(
  samples: ArrayLike<number>,
  from: number,
  frames: number,
  periods: number,
  n: number,
): { size: number; phase: number } {
  let [real, imaginary] = [0, 0];
  for (let i = 0; i < frames; i++) {
    const angle = (2 * Math.PI * n * periods * i) / frames;
    real += samples[from + i] * Math.cos(angle);
    imaginary -= samples[from + i] * Math.sin(angle);
  }
  return { size: (2 / frames) * Math.hypot(real, imaginary), phase: Math.atan2(imaginary, real) };
}
