import type { Planes } from '../../render/rack-renderer.ts';

/** A run of so many samples at a side's peak, within this of it or two steps of 16 bit, shows a clip, and then all there count. */
const RUN = 3;
const WITHIN = 1e-4;
const STEPS = 2 ** -14;

/**
 * Frames in which a side lies flat at its highest peak, as a clip leaves them (a slow sine's crest too, which is for the
 * caller to tell): 1 in each. Null where there are none.
 */
export function flatTops(planes: Planes): Uint8Array | null {
  const flat = new Uint8Array(planes[0].length);
  let found = false;
  for (const plane of planes) {
    let peak = 0;
    for (const x of plane) peak = Math.max(peak, Math.abs(x));
    const limit = peak - Math.max(WITHIN * peak, STEPS);
    if (!(limit > 0.5 * peak)) continue;
    let run = 0;
    let longest = 0;
    for (const x of plane) {
      run = Math.abs(x) >= limit ? run + 1 : 0;
      longest = Math.max(longest, run);
    }
    if (longest < RUN) continue;
    found = true;
    for (let i = 0; i < plane.length; i++) if (Math.abs(plane[i]) >= limit) flat[i] = 1;
  }
  return found ? flat : null;
}

export interface Clipping {
  /** Frames that lie flat where the session goes higher. */
  readonly frames: number;
  /** Places that they lie in, a tenth of a second or more apart, and where the first is in the mixdown. */
  readonly places: number;
  readonly firstSeconds: number;
  readonly peakDbfs: number;
  /** How far the session would go beyond the peak, dB. */
  readonly overDb: number;
}

const APART_SECONDS = 0.1;
/** So much must be cut off at least. */
const OVER = 1.002;

/**
 * Where flat tops cut off what the session holds; null where they don't.
 * @param model the session as it should stand in `mixdown`, as long as that
 * @param first frame of the mixdown at which both begin
 */
export function clipping(
  mixdown: Planes,
  model: Planes,
  flat: Uint8Array,
  sampleRate: number,
  first: number,
): Clipping | null {
  let frames = 0;
  let firstFrame = 0;
  let lastFrame = Number.NEGATIVE_INFINITY;
  let places = 0;
  let most = 1;
  let peak = 0;
  for (let i = 0; i < flat.length; i++) {
    if (!flat[i]) continue;
    const over = Math.max(
      ...mixdown.map((plane, side) => Math.abs(model[side][i]) / Math.max(1e-9, Math.abs(plane[i]))),
    );
    if (over < OVER) continue;
    if (frames === 0) firstFrame = i;
    frames++;
    if (i - lastFrame > APART_SECONDS * sampleRate) places++;
    lastFrame = i;
    most = Math.max(most, over);
    peak = Math.max(peak, ...mixdown.map((plane) => Math.abs(plane[i])));
  }
  if (frames < RUN) return null;
  return {
    frames,
    places,
    firstSeconds: (first + firstFrame) / sampleRate,
    peakDbfs: 20 * Math.log10(peak),
    overDb: 20 * Math.log10(most),
  };
}
