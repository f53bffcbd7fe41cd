/**
 * The quintics that corners.ts puts between samples, through or near the six nearest ones, and the five taps behind the
 * spline. Constants of one set, in single precision:
 *  0  weights of the samples at −2 to 3 at the outer Gauss-Legendre node t = ½ − √0.15 (reversed at 1 − t)
 *  6  weights of the outer, the middle and the inner two samples at t = ½
 *  9  the five taps: far, near, centre
 * 12  powers 0, 2, 4 of τ = t − ½ from the sums of the inner, middle and outer two samples, three numbers each
 * 21  powers 1, 3, 5 from their differences
 */
const SETS = memory.data<f32>([
  // Lagrange's: exact for quintics. The taps make up for the spline's droop, sinc⁴, up to the fourth order.
  0.00505277209, -0.0479688327, 0.947190972, 0.120309028, -0.0282811673, 0.00369722791,
  0.01171875, -0.09765625, 0.5859375,
  0.0291666667, -0.283333333, 1.50833333,
  0.5859375, -0.09765625, 0.01171875, -0.354166667, 0.40625, -0.0520833333, 0.0416666667, -0.0625, 0.0208333333,
  1.171875, -0.0651041667, 0.0046875, -0.708333333, 0.270833333, -0.0208333333, 0.0833333333, -0.0416666667, 0.00833333333,
  // Exact for cubics, and with the least squared error for a spectrum that falls as 1/(1 + (ω/0.2)²)² up to ω = 2.2:
  // images of harmonics are up to 15 dB lower. The taps make up for spline and quintic together, which is exact where
  // the curve is straight.
  0.00946150068, -0.0621380164, 0.959780421, 0.123468497, -0.0377353613, 0.00716295855,
  0.0226450671, -0.130435201, 0.607790134,
  0.0150796853, -0.226985408, 1.42381144,
  0.607785822, -0.130428733, 0.0226429109, -0.456068492, 0.559102738, -0.103034246, 0.0997782837, -0.149667426, 0.0498891419,
  1.20557337, -0.0819533529, 0.00805733725, -0.86490849, 0.349120912, -0.036490849, 0.170501803, -0.0852509014, 0.0170501803,
]);

let set: usize = SETS;

/** Takes the first set, or the second, for curves of straight pieces. */
export function takeInterpolation(straight: bool): void {
  set = SETS + (straight ? 120 : 0);
}

// @ts-ignore: decorator
@inline
export function constant(n: usize): f32 {
  return load<f32>(set + (n << 2));
}

// @ts-ignore: decorator
@inline
export function constants(n: usize): v128 {
  return v128.load32_splat(set + (n << 2));
}
