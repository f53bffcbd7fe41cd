/** Solves matrix · x = right by Gaussian elimination with row exchange; overwrites both and returns x in `right`. */
export function solveEquations(matrix: Float64Array[], right: Float64Array): Float64Array {
  const n = right.length;
  for (let column = 0; column < n; column++) {
    let pivot = column;
    for (let row = column + 1; row < n; row++) {
      if (Math.abs(matrix[row][column]) > Math.abs(matrix[pivot][column])) pivot = row;
    }
    [matrix[column], matrix[pivot]] = [matrix[pivot], matrix[column]];
    [right[column], right[pivot]] = [right[pivot], right[column]];
    for (let row = column + 1; row < n; row++) {
      const share = matrix[row][column] / matrix[column][column];
      for (let k = column; k < n; k++) matrix[row][k] -= share * matrix[column][k];
      right[row] -= share * right[column];
    }
  }
  for (let row = n - 1; row >= 0; row--) {
    for (let k = row + 1; k < n; k++) right[row] -= matrix[row][k] * right[k];
    right[row] /= matrix[row][row];
  }
  return right;
}
