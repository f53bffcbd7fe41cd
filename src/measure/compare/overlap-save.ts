import FFT from 'fft.js';
import type { Planes } from '../../render/rack-renderer.ts';

const SIZE = 1 << 13;

/**
 * Planes through a filter whose centre is tap `centre`, without delay, by overlap-save; as long as they came, with silence
 * before and after. Yields now and then.
 * @param kernel at most half of 8192 taps
 */
export function* filtered(planes: Planes, kernel: Float64Array, centre: number): Generator<void, Float32Array[]> {
  const fft = new FFT(SIZE);
  const taps = new Float64Array(2 * SIZE);
  for (const [i, tap] of kernel.entries()) taps[2 * i] = tap;
  const response = new Float64Array(2 * SIZE);
  fft.transform(response, taps);
  const { length } = planes[0];
  const out = planes.map(() => new Float32Array(length));
  const frame = new Float64Array(2 * SIZE);
  const spectrum = new Float64Array(2 * SIZE);
  const right = planes[planes.length - 1];
  const overlap = kernel.length;
  const hop = SIZE - overlap;
  for (let at = 0, n = 0; at < length; at += hop, n++) {
    // Output i + overlap of a frame is the kernel over inputs up to i + overlap, so the frame starts overlap − centre early.
    frame.fill(0);
    const start = at - overlap + centre;
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
      out[0][at + i] = frame[2 * (i + overlap)];
      if (out.length > 1) out[1][at + i] = frame[2 * (i + overlap) + 1];
    }
    if (n % 16 === 15) yield;
  }
  return out;
}
