/** What is done with whole recordings, plane by plane. */
import type { Planes } from './rack-renderer.ts';

/** A stereo sum of silence. */
export function silence(frames: number): Float32Array[] {
  return [new Float32Array(frames), new Float32Array(frames)];
}

/** Planes times a gain, in single precision. */
export function scaled(planes: Planes, gain: number): Float32Array[] {
  const g = Math.fround(gain);
  return planes.map((plane) => plane.map((x) => g * x));
}

/** Smallest and largest value of the mean of both planes in each of `columns` stretches: [min, max, min, max, …]. */
export function envelope(planes: Planes, columns: number): Float32Array {
  const out = new Float32Array(2 * columns);
  const { length } = planes[0];
  const last = planes.length - 1;
  for (let column = 0; column < columns; column++) {
    const from = Math.floor((column * length) / columns);
    const to = Math.max(from + 1, Math.floor(((column + 1) * length) / columns));
    let low = Infinity;
    let high = -Infinity;
    for (let i = from; i < to && i < length; i++) {
      const value = 0.5 * (planes[0][i] + planes[last][i]);
      if (value < low) low = value;
      if (value > high) high = value;
    }
    out[2 * column] = Number.isFinite(low) ? low : 0;
    out[2 * column + 1] = Number.isFinite(high) ? high : 0;
  }
  return out;
}
