import FFT from 'fft.js';
import { besselI0 } from '../../dsp/bessel.ts';
import type { Planes } from '../rack-renderer.ts';

/** Half the length of the interpolating filter, samples. */
const HALF = 256;
const SIZE = 1 << 13;
/** Kaiser's window: ripple below −120 dB up to 0.49 of the rate. */
const BETA = 12.26;

/**
 * Planes later by a fraction of a sample, −1 to 1, by a windowed sinc through the transform (overlap-save). The error
 * is below −110 dB up to 0.485 of the rate; within HALF samples of both ends the signal's edge is in it. A fraction of
 * 0 gives the planes themselves.
 */
export function* fractionalDelay(planes: Planes, fraction: number): Generator<void, Planes> {
  if (fraction === 0) return planes;
  const fft = new FFT(SIZE);
  const kernel = new Float64Array(2 * SIZE);
  for (let i = 0; i < 2 * HALF; i++) {
    const t = i - HALF - fraction;
    kernel[2 * i] = sinc(t) * kaiser(t / (HALF + 1));
  }
  const response = new Float64Array(2 * SIZE);
  fft.transform(response, kernel);
  const { length } = planes[0];
  const out = planes.map(() => new Float32Array(length));
  const frame = new Float64Array(2 * SIZE);
  const spectrum = new Float64Array(2 * SIZE);
  const right = planes[planes.length - 1];
  const hop = SIZE - 2 * HALF;
  for (let at = 0, n = 0; at < length; at += hop, n++) {
    // Output i of a frame that starts 2·HALF early is the kernel's centre over input at + i − 2·HALF + HALF.
    frame.fill(0);
    const start = at - HALF;
    const stop = Math.min(SIZE, length - start);
    for (let i = Math.max(0, -start); i < stop; i++) {
      frame[2 * i] = planes[0][start + i];
      frame[2 * i + 1] = right[start + i];
    }
    fft.transform(spectrum, frame);
    for (let k = 0; k < 2 * SIZE; k += 2) {
      const re = spectrum[k] * response[k] - spectrum[k + 1] * response[k + 1];
      spectrum[k + 1] = spectrum[k] * response[k + 1] + spectrum[k + 1] * response[k];
      spectrum[k] = re;
    }
    fft.inverseTransform(frame, spectrum);
    const count = Math.min(hop, length - at);
    for (let i = 0; i < count; i++) {
      out[0][at + i] = frame[2 * (i + 2 * HALF)];
      if (out.length > 1) out[1][at + i] = frame[2 * (i + 2 * HALF) + 1];
    }
    if (n % 16 === 15) yield;
  }
  return out;
}

function sinc(t: number): number {
  return t === 0 ? 1 : Math.sin(Math.PI * t) / (Math.PI * t);
}

function kaiser(t: number): number {
  return Math.abs(t) >= 1 ? 0 : besselI0(BETA * Math.sqrt(1 - t * t)) / besselI0(BETA);
}
