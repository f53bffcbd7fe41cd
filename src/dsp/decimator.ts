/**
 * Brings a signal down to a low rate for a close look at its lowest band. Three averaging stages (a third-order
 * cascaded integrator-comb, Hogenauer 1981, from memory) have zeros at every multiple of the new rate, which is where
 * DC and the lowest band would be folded onto from: below a twelfth of the new rate nothing folds at more than −60 dB,
 * and the passband loses at most 0.3 dB there, which `droop` undoes.
 */
export class Decimator {
  private readonly sums = new Float64Array(3);
  private readonly combs = new Float64Array(3);
  private count = 0;

  constructor(
    readonly factor: number,
    /** Constant taken off before: integrators hold DC exactly, but sums stay small without it. */
  ) {
    if (!Number.isInteger(factor) || factor < 2)
      throw new RangeError(`A decimation factor is 2 or more, not ${factor}.`);
  }

  /** Feeds `frames` samples from `offset`; writes what comes out to `out` from `at` on and returns how many. */
  process(input: Float32Array, offset: number, frames: number, out: Float32Array, at: number): number {
    const { sums, combs, factor } = this;
    const scale = 1 / factor ** 3;
    let written = 0;
    for (let i = 0; i < frames; i++) {
      // Integrators wrap in whole numbers, so the samples are taken as 40-bit fixed point: no drift, ever.
      sums[0] += Math.round(input[offset + i] * FIXED);
      sums[1] += sums[0];
      sums[2] += sums[1];
      wrap(sums);
      if (++this.count < factor) continue;
      this.count = 0;
      let value = sums[2];
      for (let stage = 0; stage < 3; stage++) {
        const before = combs[stage];
        combs[stage] = value;
        value = wrapped(value - before);
      }
      out[at + written] = (value * scale) / FIXED;
      written++;
    }
    return written;
  }

  reset(): void {
    this.sums.fill(0);
    this.combs.fill(0);
    this.count = 0;
  }

  /** Power gain that undoes the averaging at `hertz`, given the new rate. */
  droop(hertz: number, newRate: number): number {
    const x = (Math.PI * hertz) / newRate;
    if (x === 0) return 1;
    const sinc = Math.sin(x) / (this.factor * Math.sin(x / this.factor));
    return 1 / sinc ** 6;
  }
}

const FIXED = 2 ** 24;
/** Integrators wrap here; combs undo it as long as the result fits, which the factor cubed (at most 2^24) allows. */
const MODULUS = 2 ** 52;

function wrapped(value: number): number {
  return value - MODULUS * Math.round(value / MODULUS);
}

function wrap(sums: Float64Array): void {
  for (let i = 0; i < 3; i++) sums[i] = wrapped(sums[i]);
}
