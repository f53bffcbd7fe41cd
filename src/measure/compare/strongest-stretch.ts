import type { Planes } from '../../render/rack-renderer.ts';

/** Seconds of the mixdown. */
export interface Stretch {
  readonly fromSeconds: number;
  readonly toSeconds: number;
}

const BLOCK_SECONDS = 0.25;
/** So much of the power within so little of the time is a place. */
const POWER = 0.8;
const TIME = 0.2;

/** The shortest stretch that holds most of the power; null where that is spread over the whole. */
export function strongestStretch(planes: Planes, sampleRate: number, first: number): Stretch | null {
  const block = Math.max(1, Math.round(BLOCK_SECONDS * sampleRate));
  const powers = new Float64Array(Math.ceil(planes[0].length / block));
  for (const plane of planes) for (let i = 0; i < plane.length; i++) powers[Math.floor(i / block)] += plane[i] ** 2;
  const wanted = POWER * powers.reduce((sum, power) => sum + power, 0);
  if (wanted === 0) return null;
  let best = powers.length;
  let at = 0;
  let sum = 0;
  for (let start = 0, stop = 0; start < powers.length; start++) {
    while (sum < wanted && stop < powers.length) sum += powers[stop++];
    if (sum >= wanted && stop - start < best) {
      best = stop - start;
      at = start;
    }
    sum -= powers[start];
  }
  if (best > TIME * powers.length) return null;
  return {
    fromSeconds: (first + at * block) / sampleRate,
    toSeconds: (first + Math.min(planes[0].length, (at + best) * block)) / sampleRate,
  };
}
