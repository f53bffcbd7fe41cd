import { shape } from './dispatch.generated';
import { k, madd } from './math';

/**
 * Shapes with coefficients that move from `c0` to `c1` over the pass: both are computed and faded over linearly, so any
 * curve can glide without a formula for the way between. A circuit with memory moves its own coefficients instead.
 */
export function shapeMoving(kernel: i32, source: usize, target: usize, other: usize, frames: i32, c0: usize, c1: usize): void {
  shape(kernel, source, other, frames, c0);
  shape(kernel, source, target, frames, c1);
  const step: f32 = 1 / <f32>frames;
  const two = k(2 * step);
  let t = f32x4(0, 0, step, step);
  const bytes = (<usize>frames) << 3;
  for (let i: usize = 0; i < bytes; i += 16) {
    const a = v128.load(other + i);
    v128.store(target + i, madd(f32x4.sub(v128.load(target + i), a), t, a));
    t = f32x4.add(t, two);
  }
}
