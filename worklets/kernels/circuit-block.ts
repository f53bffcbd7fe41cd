/**
 * The linear part of a circuit, four frames at once. Its numbers from frame to frame are a vector z of three; what drives
 * it are its input and the currents by which its valves differ from their slopes at rest. What is asked of it are voltages:
 *
 *   y = Y·(z, drives)   z ← N·(z, drives)
 *
 * `put…` work out, in double precision and off the audio's way, what four frames of this amount to: the voltages by z at
 * their beginning and by the drives of the same frame and up to three before it, z after them by the drives of all four.
 */
import { put } from './lanes';

/** Numbers that go from frame to frame. */
export const STATES: usize = 3;
/** Most unknowns of the equations, and most of what they follow from: z and drives. */
const MOST: usize = 8;

const rows = memory.data(8 * 16 * 8, 8);
const voltages = memory.data(8 * 8 * 8, 8);
const next = memory.data(3 * 8 * 8, 8);
const vector = memory.data(3 * 8, 8);
const before = memory.data(3 * 8, 8);

/** Begins with no equations, and no number that goes on. */
export function clearEquations(): void {
  memory.fill(rows, 0, 8 * 16 * 8);
  memory.fill(next, 0, 3 * 8 * 8);
}

/** Equation `n`: adds `value` times unknown `m` to its left side. */
// @ts-ignore: decorator
@inline
export function unknown(n: usize, m: usize, value: f64): void {
  const at = rows + (n << 7) + (m << 3);
  store<f64>(at, load<f64>(at) + value);
}

/** Equation `n`: adds `value` times cause `m` to its right side; causes are z and then the drives. */
// @ts-ignore: decorator
@inline
export function cause(n: usize, m: usize, value: f64): void {
  unknown(n, MOST + m, value);
}

/** Solves the equations (Gauss and Jordan; the diagonal of a nodal matrix is never small). */
export function solveEquations(count: usize): void {
  for (let n: usize = 0; n < count; n++) {
    const own = rows + (n << 7);
    const pivot = 1 / load<f64>(own + (n << 3));
    for (let i: usize = 0; i < 16; i++) store<f64>(own + (i << 3), load<f64>(own + (i << 3)) * pivot);
    for (let m: usize = 0; m < count; m++) {
      if (m == n) continue;
      const other = rows + (m << 7);
      const share = load<f64>(other + (n << 3));
      for (let i: usize = 0; i < 16; i++) {
        store<f64>(other + (i << 3), load<f64>(other + (i << 3)) - share * load<f64>(own + (i << 3)));
      }
    }
  }
}

/** Unknown `n` by cause `m`, once solved. */
export function solution(n: usize, m: usize): f64 {
  return load<f64>(rows + (n << 7) + ((MOST + m) << 3));
}

/** Voltage `output` is unknown `a` less unknown `b`; less nothing with b = −1. */
export function voltage(output: usize, a: i32, b: i32): void {
  for (let m: usize = 0; m < MOST; m++) {
    const less: f64 = b < 0 ? 0 : solution(b, m);
    store<f64>(voltages + (output << 6) + (m << 3), solution(a, m) - less);
  }
}

/** Number `n` of z after a frame is `twice` times (unknown a − unknown b) less itself: the trapezoidal rule's. */
export function carried(n: usize, twice: f64, a: i32, b: i32): void {
  for (let m: usize = 0; m < MOST; m++) {
    const less: f64 = b < 0 ? 0 : solution(b, m);
    store<f64>(next + (n << 6) + (m << 3), twice * (solution(a, m) - less) - (m == n ? 1 : 0));
  }
}

function start(column: usize): void {
  for (let n: usize = 0; n < STATES; n++) {
    store<f64>(vector + (n << 3), load<f64>(next + (n << 6) + (column << 3)));
  }
}

function step(): void {
  memory.copy(before, vector, 8 * STATES);
  for (let n: usize = 0; n < STATES; n++) {
    let sum: f64 = 0;
    for (let m: usize = 0; m < STATES; m++) sum += load<f64>(next + (n << 6) + (m << 3)) * load<f64>(before + (m << 3));
    store<f64>(vector + (n << 3), sum);
  }
}

function seen(output: usize): f64 {
  let sum: f64 = 0;
  for (let m: usize = 0; m < STATES; m++) {
    sum += load<f64>(voltages + (output << 6) + (m << 3)) * load<f64>(vector + (m << 3));
  }
  return sum;
}

/** Twice side by side: left and right of a frame are neighbours in a vector. */
function putTwice(c: usize, n: usize, value: f64): void {
  put(c, n, value);
  put(c, n + 1, value);
}

/** From `at`: `output` in the four frames, each twice, by each number of z (24 coefficients). */
export function putOfState(c: usize, at: usize, output: usize): void {
  for (let n: usize = 0; n < STATES; n++) {
    memory.fill(vector, 0, 8 * STATES);
    store<f64>(vector + (n << 3), 1);
    for (let frame: usize = 0; frame < 4; frame++) {
      putTwice(c, at + 8 * n + 2 * frame, seen(output));
      step();
    }
  }
}

/** From `at`: `output` by `drive` in the same frame and in the three before (4 coefficients). */
export function putOfDrive(c: usize, at: usize, output: usize, drive: usize): void {
  put(c, at, load<f64>(voltages + (output << 6) + ((STATES + drive) << 3)));
  start(STATES + drive);
  for (let lag: usize = 1; lag < 4; lag++) {
    put(c, at + lag, seen(output));
    step();
  }
}

/** From `at`: `output` in the four frames, each twice, by a `drive` that stays the same (8 coefficients). */
export function putOfHeld(c: usize, at: usize, output: usize, drive: usize): void {
  let sum = load<f64>(voltages + (output << 6) + ((STATES + drive) << 3));
  start(STATES + drive);
  for (let frame: usize = 0; frame < 4; frame++) {
    putTwice(c, at + 2 * frame, sum);
    sum += seen(output);
    step();
  }
}

/** From `at`: z after four frames by z before them, row by row (9 coefficients). */
export function putNext(c: usize, at: usize): void {
  for (let m: usize = 0; m < STATES; m++) {
    start(m);
    for (let frame = 1; frame < 4; frame++) step();
    for (let n: usize = 0; n < STATES; n++) put(c, at + STATES * n + m, load<f64>(vector + (n << 3)));
  }
}

/** From `at`: each number of z after four frames by the `drive` in each of them, twice (24 coefficients). */
export function putNextOfDrive(c: usize, at: usize, drive: usize): void {
  start(STATES + drive);
  for (let back: usize = 0; back < 4; back++) {
    const frame = 3 - back;
    for (let n: usize = 0; n < STATES; n++) putTwice(c, at + 8 * n + 2 * frame, load<f64>(vector + (n << 3)));
    step();
  }
}
