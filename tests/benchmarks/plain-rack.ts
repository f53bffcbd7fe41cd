/**
 * A rack of tanh soft clips in plain TypeScript, the same sums as the kernels: half-bands, the rational tanh, AC
 * coupling in double precision. What AssemblyScript is measured against.
 */
import { oversamplingLayout } from '../../src/engine/oversampling.ts';

/** Half-band by two, up or down, over one channel; the layout of worklets/kernels/oversampler.ts without the vectors. */
class HalfBand {
  private readonly even: Float32Array;
  private readonly odd: Float32Array;

  constructor(
    private readonly taps: Float32Array,
    most: number,
  ) {
    this.even = new Float32Array(2 * taps.length - 1 + most);
    this.odd = new Float32Array(taps.length + most);
  }

  private symmetric(at: number): number {
    const { even, taps } = this;
    let near = at;
    let far = at - (2 * taps.length - 1);
    let sum = 0;
    for (let i = 0; i < taps.length; i++) sum += taps[i] * (even[near--] + even[far++]);
    return sum;
  }

  up(source: Float32Array, target: Float32Array, frames: number): void {
    const { even } = this;
    const past = 2 * this.taps.length - 1;
    for (let i = 0; i < frames; i++) even[past + i] = source[i];
    for (let i = 0; i < frames; i++) {
      target[2 * i] = 2 * this.symmetric(past + i);
      target[2 * i + 1] = even[past + i - this.taps.length + 1];
    }
    even.copyWithin(0, frames, frames + past);
  }

  down(source: Float32Array, target: Float32Array, frames: number): void {
    const { even, odd } = this;
    const past = 2 * this.taps.length - 1;
    const oddPast = this.taps.length;
    for (let i = 0; i < frames; i++) {
      even[past + i] = source[2 * i];
      odd[oddPast + i] = source[2 * i + 1];
    }
    for (let i = 0; i < frames; i++) target[i] = 0.5 * odd[i] + this.symmetric(past + i);
    even.copyWithin(0, frames, frames + past);
    odd.copyWithin(0, frames, frames + oddPast);
  }
}

/** tanh(x) − x, the fit of worklets/kernels/curves.ts. */
function tanhDifference(x: number): number {
  const c = Math.min(8, Math.max(-8, x));
  const z = c * c;
  const p = ((-8.394768877696951e-7 * z - 0.000319632730329563) * z - 0.022600490470689162) * z - 0.33333329313316473;
  const q =
    (((8.547693457143628e-7 * z + 0.0003415718534259217) * z + 0.026174803769862354) * z + 0.4678012462811507) * z + 1;
  return (z * c * p) / q + (c - x);
}

/** One channel of a rack of `count` equal stages at 4×, 48 kHz. */
export class PlainRack {
  private readonly filters: { up: HalfBand; down: HalfBand }[];
  private readonly buffers: Float32Array[];
  private readonly coupling: Float64Array;

  constructor(
    count: number,
    private readonly pre: number,
    frames: number,
  ) {
    this.filters = oversamplingLayout(4, 48000).doublings.map(({ down }, i) => {
      const branch = Float32Array.from(down);
      return { up: new HalfBand(branch, frames << i), down: new HalfBand(branch, frames << i) };
    });
    this.buffers = [2, 4, 4, 2].map((times) => new Float32Array(times * frames));
    this.coupling = new Float64Array(count);
  }

  process(source: Float32Array, target: Float32Array, frames: number): void {
    const [low, signal, difference, added] = this.buffers;
    this.filters[0].up.up(source, low, frames);
    this.filters[1].up.up(low, signal, 2 * frames);
    difference.fill(0);
    const pole = 1 - Math.exp((-2 * Math.PI * 2) / 192000);
    for (let s = 0; s < this.coupling.length; s++) {
      let m = this.coupling[s];
      for (let i = 0; i < 4 * frames; i++) {
        const e = tanhDifference(signal[i] * this.pre) / this.pre;
        m += pole * (e - m);
        signal[i] += e - m;
        difference[i] += e - m;
      }
      this.coupling[s] = Math.abs(m) > 1e-30 ? m : 0;
    }
    this.filters[1].down.down(difference, added, 2 * frames);
    this.filters[0].down.down(added, target, frames);
    for (let i = 0; i < frames; i++) target[i] += source[i];
  }
}
