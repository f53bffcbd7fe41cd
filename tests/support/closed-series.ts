/**
 * Harmonics b₁…b₂₀ of curves driven with A·sin θ, index 0 = b₁: the closed forms of docs/reference-values.md, section 3.
 * Sine series of odd curves, so even orders are 0.
 */

const COUNT = 20;

/** b₁…b₂₀ by the midpoint rule over one period, which converges geometrically for smooth curves. */
export function seriesBySum(curve: (x: number) => number, amplitude: number): number[] {
  const points = 1 << 14;
  return Array.from({ length: COUNT }, (_, index) => {
    let sum = 0;
    for (let i = 0; i < points; i++) {
      const angle = (2 * Math.PI * (i + 0.5)) / points;
      sum += curve(amplitude * Math.sin(angle)) * Math.sin((index + 1) * angle);
    }
    return (2 * sum) / points;
  });
}

const odd = (b: (n: number) => number) => Array.from({ length: COUNT }, (_, i) => (i % 2 ? 0 : b(i + 1)));

/** Clip at ±1: θc = asin(1/A), b₁ = (2A/π)(θc + ½ sin 2θc), bₙ = (2A/πn)[sin((n−1)θc)/(n−1) + sin((n+1)θc)/(n+1)]. */
export function hardClipSeries(amplitude: number): number[] {
  const c = Math.asin(1 / amplitude);
  const scale = (2 * amplitude) / Math.PI;
  return odd((n) =>
    n === 1
      ? scale * (c + Math.sin(2 * c) / 2)
      : (scale / n) * (Math.sin((n - 1) * c) / (n - 1) + Math.sin((n + 1) * c) / (n + 1)),
  );
}

/** x − x³/3: b₁ = A − A³/4, b₃ = A³/12. */
export function cubicSeries(amplitude: number): number[] {
  return odd((n) => (n === 1 ? amplitude - amplitude ** 3 / 4 : n === 3 ? amplitude ** 3 / 12 : 0));
}

/** bₙ = (2/n)·tⁿ, t = (√(1 + A²) − 1)/A. */
export function arctangentSeries(amplitude: number): number[] {
  const t = (Math.sqrt(1 + amplitude ** 2) - 1) / amplitude;
  return odd((n) => (2 / n) * t ** n);
}

/** bₙ = 4·Σ tₖⁿ/√(dₖ² + A²), dₖ = (2k − 1)π/2, tₖ = (√(dₖ² + A²) − dₖ)/A; b₁ by quadrature, since it converges slowly. */
export function tanhSeries(amplitude: number): number[] {
  const first = seriesBySum(Math.tanh, amplitude)[0];
  return odd((n) => {
    if (n === 1) return first;
    let sum = 0;
    for (let k = 1; k < 5000; k++) {
      const d = ((2 * k - 1) * Math.PI) / 2;
      const root = Math.hypot(d, amplitude);
      sum += (amplitude / (root + d)) ** n / root;
    }
    return 4 * sum;
  });
}

/** x/√(1 + n·x²), what n stages x/√(1 + x²) in series are. */
export function rootSeries(amplitude: number, stages = 1): number[] {
  return seriesBySum((x) => x / Math.sqrt(1 + stages * x * x), amplitude);
}
