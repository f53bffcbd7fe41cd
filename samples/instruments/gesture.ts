import { gaussian } from '../../src/dsp/random.ts';

/** A player's unsteadiness in time: s, about 5 ms either way. */
export function lateness(random: () => number): number {
  return 0.005 * gaussian(random);
}

/** A curve that rises over `rise` samples, stays, and falls over `fall` from `length` on; in raised-cosine steps. */
export function swell(at: number, length: number, rise: number, fall: number): number {
  const step = (t: number) => (t <= 0 ? 0 : t >= 1 ? 1 : 0.5 - 0.5 * Math.cos(Math.PI * t));
  return step(at / rise) * (1 - step((at - length) / fall));
}

/** Slow random wandering of about ±1, with the given corner in Hz: hands and lungs are never quite steady. */
export function wandering(frames: number, rate: number, corner: number, random: () => number): Float64Array {
  const out = new Float64Array(frames);
  const k = 1 - Math.exp((-2 * Math.PI * corner) / rate);
  // A one-pole low-pass twice takes noise down to variance k/4; this brings it back to about 1.
  const scale = Math.sqrt(4 / k);
  let a = 0;
  let b = 0;
  for (let i = -Math.round((2 * rate) / corner); i < frames; i++) {
    a += k * (gaussian(random) - a);
    b += k * (a - b);
    if (i >= 0) out[i] = scale * b;
  }
  return out;
}
