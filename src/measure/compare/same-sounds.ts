import type { Planes } from '../../render/rack-renderer.ts';
import type { Stem } from './stem-fit.ts';

/** Sounds are looked at in so many blocks of so many frames. */
const PROBES = 64;
const FRAMES = 256;
const SAME = 1 - 1e-7;

/** Stems with one sound (a file loaded twice) as one: what a mixdown holds of each of them can't be told. */
export function joinSameSounds(stems: readonly Stem[]): Stem[] {
  const joined: Stem[] = [];
  for (const stem of stems) {
    let times = 0;
    const index = joined.findIndex(
      (one) => one.muted === stem.muted && (times = timesOf(one.planes, stem.planes)) !== 0,
    );
    if (index < 0) {
      joined.push(stem);
      continue;
    }
    const { name, gains, ...rest } = joined[index];
    const [left, right] = [gains[0] + times * stem.gains[0], gains[1] + times * stem.gains[1]];
    joined[index] = { ...rest, name: `${name} or ${stem.name}`, gains: [left, right] };
  }
  return joined;
}

/** `b` as a multiple of `a`; 0 where it isn't one. */
function timesOf(a: Planes, b: Planes): number {
  const { length } = a[0];
  if (a.length !== b.length || length !== b[0].length) return 0;
  let [aa, ab, bb] = [0, 0, 0];
  for (let probe = 0; probe < PROBES; probe++) {
    const start = Math.floor((probe * Math.max(0, length - FRAMES)) / (PROBES - 1));
    for (const [side, plane] of a.entries()) {
      for (let i = start; i < Math.min(length, start + FRAMES); i++) {
        aa += plane[i] * plane[i];
        ab += plane[i] * b[side][i];
        bb += b[side][i] * b[side][i];
      }
    }
  }
  return aa > 0 && bb > 0 && ab * ab > SAME * aa * bb ? ab / aa : 0;
}
