/** Inverse of a small square matrix by Gauss-Jordan elimination with row exchange. @throws RangeError if singular */
export function inverse(matrix: readonly (readonly number[])[]): number[][] {
  const size = matrix.length;
  const rows = matrix.map((row, i) => [...row, ...row.map((_, j) => (i === j ? 1 : 0))]);
  for (let column = 0; column < size; column++) {
    let pivot = column;
    for (let row = column + 1; row < size; row++) {
      if (Math.abs(rows[row][column]) > Math.abs(rows[pivot][column])) pivot = row;
    }
    [rows[column], rows[pivot]] = [rows[pivot], rows[column]];
    const scale = rows[column][column];
    if (!(Math.abs(scale) > 1e-300)) throw new RangeError('The matrix is singular.');
    rows[column] = rows[column].map((value) => value / scale);
    for (let row = 0; row < size; row++) {
      const factor = rows[row][column];
      if (row === column || factor === 0) continue;
      rows[row] = rows[row].map((value, i) => value - factor * rows[column][i]);
    }
  }
  return rows.map((row) => row.slice(size));
}
