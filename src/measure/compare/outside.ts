import type { Planes } from '../../render/rack-renderer.ts';

/** Sound that one of two recordings has where the other has nothing. */
export interface OutsideSound {
  /** From the overlap to the furthest sample that is heard. */
  readonly seconds: number;
  readonly peakDbfs: number;
}

/** Before and behind what both have; null where there is nothing but silence. */
export interface Outside {
  readonly beforeA: OutsideSound | null;
  readonly afterA: OutsideSound | null;
  readonly beforeB: OutsideSound | null;
  readonly afterB: OutsideSound | null;
}

/** Silence: this far below the recording's own peak, or below what dither of 16 bit reaches (1.5 of 2^−15, −86.8 dBFS). */
const SILENT_DB = -70;
const SILENT = 10 ** (-86 / 20);
/** What is shorter is a filter's ringing or a frame's end. */
const LEAST_SECONDS = 0.02;

/** @param lag samples by which B is later than A */
export function outsideOf(a: Planes, b: Planes, lag: number, sampleRate: number): Outside {
  const from = Math.max(0, -lag);
  const to = Math.max(from, Math.min(a[0].length, b[0].length - lag));
  return {
    beforeA: sound(a, from, -1, sampleRate),
    afterA: sound(a, to, 1, sampleRate),
    beforeB: sound(b, from + lag, -1, sampleRate),
    afterB: sound(b, to + lag, 1, sampleRate),
  };
}

/** What sounds from an edge on, in that direction. */
function sound(planes: Planes, edge: number, direction: 1 | -1, sampleRate: number): OutsideSound | null {
  const limit = Math.max(SILENT, peak(planes, 0, planes[0].length) * 10 ** (SILENT_DB / 20));
  const [from, to] = direction === 1 ? [edge, planes[0].length] : [0, edge];
  let furthest = 0;
  for (const plane of planes) {
    for (let i = from; i < to; i++) {
      if (Math.abs(plane[i]) > limit) furthest = Math.max(furthest, direction === 1 ? i + 1 - edge : edge - i);
    }
  }
  if (furthest < LEAST_SECONDS * sampleRate) return null;
  return { seconds: furthest / sampleRate, peakDbfs: 20 * Math.log10(peak(planes, from, to)) };
}

function peak(planes: Planes, from: number, to: number): number {
  let most = 0;
  for (const plane of planes) for (let i = from; i < to; i++) most = Math.max(most, Math.abs(plane[i]));
  return most;
}
