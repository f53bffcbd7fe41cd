/** What the working point b = c₀ and c₁ = 1/f′(b) make of a curve's D(x) = f(x) − x; for every curve, in both widths. */
import { add, coefficient, mad, mul, num, sub } from './lanes';

/** True where the curve is taken as it is: in the origin, with slope 1 there. */
// @ts-ignore: decorator
@inline
export function isPlain(c: usize): bool {
  return load<f32>(c) == 0 && load<f32>(c, 4) == 1;
}

/** u + b */
// @ts-ignore: decorator
@inline
export function moved<T>(u: T, c: usize): T {
  return add<T>(u, coefficient<T>(c, 0));
}

/**
 * F(u) − u with F(u) = (f(u + b) − f(b))/f′(b): u·(1/f′ − 1) + (D(u + b) − D(b))/f′. `still` is D(b) by the same
 * arithmetic, so that silence stays silence.
 */
// @ts-ignore: decorator
@inline
export function normalised<T>(u: T, difference: T, still: T, c: usize): T {
  const steep = coefficient<T>(c, 1);
  return mad<T>(sub<T>(difference, still), steep, mul<T>(u, sub<T>(steep, num<T>(1))));
}
