/**
 * Lines of a polynomial of two cosines, from its coefficients alone: with x = A·cos α + B·cos β, the binomial theorem
 * on A/2·(e^{jα} + e^{−jα}) + B/2·(e^{jβ} + e^{−jβ}) gives for x^p at mα + nβ
 * Σ p!/(i! j! k! l!)·(A/2)^{i+j}·(B/2)^{k+l} over i − j = m, k − l = n, i + j + k + l = p.
 */

const factorial = (n: number): number => (n < 2 ? 1 : n * factorial(n - 1));

/**
 * Signed peak amplitude of the line at m·f1 + n·f2, DC for m = n = 0.
 * @param a coefficients by ascending power, a[0] the constant
 */
export function polynomialLine(a: readonly number[], first: number, second: number, m: number, n: number): number {
  let sum = 0;
  a.forEach((coefficient, p) => {
    for (let i = 0; i <= p; i++) {
      const j = i - m;
      for (let k = 0; k <= p; k++) {
        const l = k - n;
        if (j < 0 || l < 0 || i + j + k + l !== p) continue;
        const ways = factorial(p) / (factorial(i) * factorial(j) * factorial(k) * factorial(l));
        sum += coefficient * ways * (first / 2) ** (i + j) * (second / 2) ** (k + l);
      }
    }
  });
  return m === 0 && n === 0 ? sum : 2 * sum;
}

/** The polynomial at x. */
export function polynomialAt(a: readonly number[], x: number): number {
  return a.reduceRight((sum, coefficient) => sum * x + coefficient, 0);
}
