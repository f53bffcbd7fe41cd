import { Heap } from './heap.ts';
import type { Kernels } from './kernels.ts';
import { instantiateKernels } from './kernels.ts';
import type { Circuit } from './stages/stage-kind.ts';
import { MAX_COEFFICIENTS } from './stages/stage-kind.ts';
import { MAX_STATE } from './stages/stage-kinds.ts';

/** Most points of a curve at once, and frames of a period. */
const MOST = 768;
/** Frames of a period of a circuit with memory; its rate is that of its tone times as many. Low tones get more. */
const PERIOD = { frames: 96, lowFrames: MOST, lowHz: 200 };

/**
 * A circuit's own kernel in double precision, for whoever asks what it does without hearing it: calibration, screen,
 * bench. One source with the sound, and the same on every host.
 */
export class CircuitProbe {
  private readonly heap: Heap;
  private readonly inputs: number;
  private readonly coefficients: number;
  private readonly source: number;
  private readonly target: number;
  private readonly state: number;
  private circuit: Circuit | null = null;

  constructor(private readonly kernels: Kernels) {
    this.heap = new Heap(kernels);
    this.inputs = this.heap.allocate(8 * MAX_COEFFICIENTS);
    this.coefficients = this.heap.allocate(12 * MAX_COEFFICIENTS);
    this.source = this.heap.allocate(8 * MOST);
    this.target = this.heap.allocate(8 * MOST);
    this.state = this.heap.allocate(MAX_STATE);
  }

  /** Takes a circuit with its inputs, in the kernel's order (`circuitInputs`). `rate`: the one it runs at, Hz. */
  load(circuit: Circuit, inputs: ArrayLike<number>, rate = framesOf(circuit) * circuit.toneHz): void {
    this.circuit = circuit;
    this.heap.f64.set(inputs, this.inputs >> 3);
    this.kernels.prepare(circuit.number, this.inputs, this.coefficients, rate);
  }

  /** Coefficients in double precision as the kernel has them: the working point, 1/slope there, and its own. */
  get prepared(): Float64Array {
    return this.heap.f64.slice(this.coefficients >> 3, (this.coefficients >> 3) + MAX_COEFFICIENTS);
  }

  /** What a curve adds to the straight line, F(u) − u, at each of the points; in the curve's own units. */
  added(points: ArrayLike<number>): Float64Array {
    if (!this.circuit) throw new Error('Nothing was loaded into the probe.');
    const out = new Float64Array(points.length);
    for (let at = 0; at < points.length; at += MOST) {
      const count = Math.min(MOST, points.length - at);
      const { f64 } = this.heap;
      for (let i = 0; i < count; i++) f64[(this.source >> 3) + i] = points[at + i];
      this.kernels.evaluate(this.circuit.number, this.source, this.target, count, this.coefficients);
      out.set(f64.subarray(this.target >> 3, (this.target >> 3) + count), at);
    }
    return out;
  }

  /**
   * What a circuit adds to amplitude·cos of its tone (`Circuit.toneHz`), one period from the tone's peak on, after
   * `settleSeconds` of the same; from its memory empty or, where it `continues`, from
   * where the last one ended. For a curve, whose memory is always empty, `added` says as much.
   */
  period(amplitude: number, settleSeconds: number, continues = false): Float64Array {
    if (!this.circuit) throw new Error('Nothing was loaded into the probe.');
    const { coefficients, heap, kernels } = this;
    const frames = framesOf(this.circuit);
    const tone = Float32Array.from(
      { length: 2 * frames },
      (_, i) => amplitude * Math.cos((2 * Math.PI * (i >> 1)) / frames),
    );
    if (!continues) heap.clear(this.state, MAX_STATE);
    for (let done = 0; done <= Math.ceil(settleSeconds * this.circuit.toneHz); done++) {
      heap.f32.set(tone, this.source >> 2);
      kernels.runCircuit(this.circuit.number, this.source, frames, coefficients, coefficients, this.state);
    }
    return Float64Array.from({ length: frames }, (_, i) => heap.f32[(this.source >> 2) + 2 * i]);
  }
}

function framesOf({ toneHz }: Circuit): number {
  return toneHz < PERIOD.lowHz ? PERIOD.lowFrames : PERIOD.frames;
}

let shared: CircuitProbe | undefined;

/** The probe of this thread; its kernels are made at the first call. Not for the audio thread. */
export function circuitProbe(): CircuitProbe {
  shared ??= new CircuitProbe(instantiateKernels());
  return shared;
}

/** A circuit's inputs out of a stage's values, in the kernel's order. */
export function circuitInputs(circuit: Circuit, values: ArrayLike<number>): Float64Array {
  return Float64Array.from(circuit.inputs, (at) => values[at]);
}
