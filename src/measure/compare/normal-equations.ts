/**
 * Least squares y ≈ Σ cᵢ·xᵢ by normal equations, summed in groups, so that sounds of any length need no more memory than
 * the matrices, and the groups show how sure a coefficient is.
 */

/** Groups of the recording, in turn; their scatter gives the errors. */
export const GROUPS = 24;
/** What pulls a coefficient towards its expected value, as a share of its own power: only what is all but collinear feels it. */
const RIDGE = 1e-9;

export class NormalEquations {
  /** Σ xᵢxⱼ, Σ xᵢy and Σ y² of every group. */
  private readonly products: Float64Array[];
  private readonly cross: Float64Array[];
  private power = 0;

  constructor(readonly count: number) {
    this.products = Array.from({ length: GROUPS }, () => new Float64Array(count * count));
    this.cross = Array.from({ length: GROUPS }, () => new Float64Array(count));
  }

  /** One block: its regressors (null for silence) and what they are to explain. */
  add(group: number, regressors: readonly (Float64Array | null)[], y: Float64Array): void {
    const { count } = this;
    const [products, cross] = [this.products[group], this.cross[group]];
    for (let i = 0; i < count; i++) {
      const x = regressors[i];
      if (!x) continue;
      cross[i] += dot(x, y);
      for (let j = 0; j <= i; j++) {
        const other = regressors[j];
        if (other) products[i * count + j] += dot(x, other);
      }
    }
    this.power += dot(y, y);
  }

  /** @param expected what a coefficient is taken for where the sounds don't tell */
  solve(expected: Float64Array): Solution {
    const { count } = this;
    const matrix = new Float64Array(count * count);
    const vector = new Float64Array(count);
    for (let g = 0; g < GROUPS; g++) {
      for (let i = 0; i < matrix.length; i++) matrix[i] += this.products[g][i];
      for (let i = 0; i < count; i++) vector[i] += this.cross[g][i];
    }
    for (let i = 0; i < count; i++) for (let j = 0; j < i; j++) matrix[j * count + i] = matrix[i * count + j];
    const powers = Float64Array.from({ length: count }, (_, i) => matrix[i * count + i]);
    const ridged = matrix.slice();
    const strongest = powers.reduce((most, one) => Math.max(most, one), 0);
    for (let i = 0; i < count; i++) ridged[i * count + i] += RIDGE * powers[i] + 1e-15 * strongest + 1e-300;
    const inverse = inverted(ridged, count);
    const pulled = vector.map((value, i) => value + (ridged[i * count + i] - powers[i]) * expected[i]);
    const values = times(inverse, pulled, count);
    // Rounding of a small difference of large sums may leave less than nothing.
    const explained = values.reduce(
      (sum, value, i) => sum + value * (2 * vector[i] - times1(matrix, values, count, i)),
      0,
    );
    return {
      values,
      powers,
      matrix,
      inverse,
      rest: Math.max(0, this.power - explained),
      power: this.power,
      variances: this.variances(values, inverse),
    };
  }

  /**
   * How far the coefficients scatter: A⁻¹·(Σ s·sᵀ)·A⁻¹ with each group's own s = h − A·c, which holds for rests that aren't
   * white (the sandwich of clustered samples: Liang and Zeger 1986, from memory).
   */
  private variances(values: Float64Array, inverse: Float64Array): Float64Array {
    const { count } = this;
    const out = new Float64Array(count);
    for (let g = 0; g < GROUPS; g++) {
      const products = this.products[g];
      const scores = Float64Array.from({ length: count }, (_, i) => {
        let sum = this.cross[g][i];
        for (let j = 0; j < count; j++) sum -= products[j <= i ? i * count + j : j * count + i] * values[j];
        return sum;
      });
      const moved = times(inverse, scores, count);
      for (let i = 0; i < count; i++) out[i] += moved[i] ** 2;
    }
    return out.map((x) => (x * GROUPS) / (GROUPS - 1));
  }
}

export interface Solution {
  readonly values: Float64Array;
  /** Power of each regressor. */
  readonly powers: Float64Array;
  readonly matrix: Float64Array;
  readonly inverse: Float64Array;
  readonly variances: Float64Array;
  /** Power of y, and of what is left of it. */
  readonly power: number;
  readonly rest: number;
}

function dot(x: Float64Array, y: Float64Array): number {
  let [a, b, c, d] = [0, 0, 0, 0];
  const { length } = x;
  let i = 0;
  for (; i + 3 < length; i += 4) {
    a += x[i] * y[i];
    b += x[i + 1] * y[i + 1];
    c += x[i + 2] * y[i + 2];
    d += x[i + 3] * y[i + 3];
  }
  for (; i < length; i++) a += x[i] * y[i];
  return a + b + (c + d);
}

function times1(matrix: Float64Array, vector: Float64Array, count: number, row: number): number {
  let sum = 0;
  for (let j = 0; j < count; j++) sum += matrix[row * count + j] * vector[j];
  return sum;
}

function times(matrix: Float64Array, vector: Float64Array, count: number): Float64Array {
  return Float64Array.from({ length: count }, (_, row) => times1(matrix, vector, count, row));
}

/** Inverse of a symmetric positive definite matrix, by Cholesky's factors of the matrix scaled to a diagonal of 1. */
function inverted(matrix: Float64Array, n: number): Float64Array {
  const scale = Float64Array.from({ length: n }, (_, i) => 1 / Math.sqrt(matrix[i * n + i]));
  const low = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * n + j] * scale[i] * scale[j];
      for (let k = 0; k < j; k++) sum -= low[i * n + k] * low[j * n + k];
      low[i * n + j] = i === j ? Math.sqrt(Math.max(sum, 1e-13)) : sum / low[j * n + j];
    }
  }
  const out = new Float64Array(n * n);
  for (let column = 0; column < n; column++) {
    const x = new Float64Array(n);
    for (let i = column; i < n; i++) {
      let sum = i === column ? 1 : 0;
      for (let k = column; k < i; k++) sum -= low[i * n + k] * x[k];
      x[i] = sum / low[i * n + i];
    }
    for (let i = n - 1; i >= 0; i--) {
      let sum = x[i];
      for (let k = i + 1; k < n; k++) sum -= low[k * n + i] * x[k];
      x[i] = sum / low[i * n + i];
    }
    for (let i = 0; i < n; i++) out[i * n + column] = x[i] * scale[i] * scale[column];
  }
  return out;
}
