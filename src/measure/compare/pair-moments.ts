import type { Planes } from '../../render/rack-renderer.ts';

/** Sums of products of two stereo recordings over what both have; x is A, y is B, l and r their sides. */
export interface PairMoments {
  readonly frames: number;
  readonly xx: { readonly ll: number; readonly lr: number; readonly rr: number };
  readonly yy: { readonly ll: number; readonly lr: number; readonly rr: number };
  /** First side of x, then side of y. */
  readonly xy: { readonly ll: number; readonly lr: number; readonly rl: number; readonly rr: number };
}

/** Of a long stretch that is only looked over, blocks of this many frames are taken, about so many frames in all. */
const BLOCK = 4096;
const LOOK_FRAMES = 1 << 20;

/**
 * `b` is read `lag` samples later; one plane counts as on both sides.
 * @param isQuick looks over a long stretch instead of reading all of it
 */
export function pairMoments(a: Planes, b: Planes, lag: number, isQuick = false): PairMoments {
  const from = Math.max(0, -lag);
  const to = Math.min(a[0].length, b[0].length - lag);
  const [xl, xr, yl, yr] = [a[0], a[a.length - 1], b[0], b[b.length - 1]];
  const sums = new Float64Array(10);
  const every = isQuick ? Math.max(1, Math.ceil((to - from) / LOOK_FRAMES)) : 1;
  let frames = 0;
  for (let start = from; start < to; start += BLOCK * every) {
    const stop = Math.min(to, start + BLOCK);
    frames += stop - start;
    for (let i = start; i < stop; i++) {
      const [l, r, m, n] = [xl[i], xr[i], yl[i + lag], yr[i + lag]];
      sums[0] += l * l;
      sums[1] += l * r;
      sums[2] += r * r;
      sums[3] += m * m;
      sums[4] += m * n;
      sums[5] += n * n;
      sums[6] += l * m;
      sums[7] += l * n;
      sums[8] += r * m;
      sums[9] += r * n;
    }
  }
  const [a0, a1, a2, b0, b1, b2, ll, lr, rl, rr] = sums;
  return { frames, xx: { ll: a0, lr: a1, rr: a2 }, yy: { ll: b0, lr: b1, rr: b2 }, xy: { ll, lr, rl, rr } };
}

/** Share of y's power, 0 to 1, that some sum of x's two sides explains on each of its own: no swap or turned side hides it. */
export function explainedShare({ xx, yy, xy }: PairMoments): number {
  const total = yy.ll + yy.rr;
  if (!(total > 0 && xx.ll + xx.rr > 0)) return 0;
  return (explained(xx, xy.ll, xy.rl) + explained(xx, xy.lr, xy.rr)) / total;
}

/** Power of one side of y that the least squares explain; sides that are nearly the same sound count as one. */
function explained({ ll, lr, rr }: PairMoments['xx'], l: number, r: number): number {
  const determinant = ll * rr - lr * lr;
  if (determinant > 1e-9 * ll * rr) return (rr * l * l - 2 * lr * l * r + ll * r * r) / determinant;
  return ll >= rr ? (l * l) / ll : (r * r) / rr;
}
