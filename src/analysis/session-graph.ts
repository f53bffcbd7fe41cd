/** Sums of the session's graph over whole recordings, in the engine's own single-precision arithmetic. */
import type { Planes } from './rack-renderer.ts';

/** A stereo sum of silence. */
export function silence(frames: number): Float32Array[] {
  return [new Float32Array(frames), new Float32Array(frames)];
}

/**
 * sum += side gain · (match · planes). Each product and sum is rounded to single precision, as the kernels do it
 * (`combine` and `mixInto`), so that offline figures are of exactly the samples that are heard.
 */
export function addInto(sum: Float32Array[], planes: Planes, match: number, left: number, right: number): void {
  const m = Math.fround(match);
  for (let side = 0; side < 2; side++) {
    const gain = Math.fround(side === 0 ? left : right);
    const target = sum[side];
    const source = planes[Math.min(side, planes.length - 1)];
    const { length } = source;
    if (m === 1) for (let i = 0; i < length; i++) target[i] += Math.fround(gain * source[i]);
    else for (let i = 0; i < length; i++) target[i] += Math.fround(gain * Math.fround(m * source[i]));
  }
}

/** Balance law: the side turned away from falls by a cosine, the other stays; the centre is unity. Pan −1 to 1. */
export function panGains(gain: number, pan: number): [left: number, right: number] {
  const away = (position: number) => Math.cos((Math.PI / 2) * Math.max(0, position));
  return [gain * away(pan), gain * away(-pan)];
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
