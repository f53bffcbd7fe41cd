import type { Heap } from './heap.ts';
import { COEFFICIENT_BYTES, MAX_CELLS, MAX_COEFFICIENTS, TABLE_BYTES } from './kernel-table.generated.ts';
import type { Kernels } from './kernels.ts';
import type { Circuit } from './stages/stage-kind.ts';

/** Base frames for each cell, so that making a table costs about as much as the dear curve that is computed meanwhile. */
const FRAMES_A_CELL = 2;

/** Where the table's address stands behind a kernel's coefficients (worklets/kernels/table.ts). */
const ADDRESS = COEFFICIENT_BYTES - 16;

/**
 * The look-up table of one stage's curve, where its kernel has one. It is made in its own place, a few cells a block,
 * counted in frames, so that any partition into blocks gives the same sound; until it is whole, and while the shape
 * glides, the curve is computed directly. Between the two lies less than 1e-6 of the signal at the curve.
 */
export class ShapeTable {
  private readonly address: number;
  private number = -1;
  private readonly shape = new Float64Array(MAX_COEFFICIENTS);
  private cells = 0;
  private frames = 0;
  private made = 0;
  private isWhole = false;
  /** Nothing is known of the shape as it is now. */
  private isOpen = true;

  constructor(
    private readonly kernels: Kernels,
    private readonly heap: Heap,
  ) {
    this.address = heap.allocate(TABLE_BYTES);
  }

  /** Has the table be of this circuit with these values, but for its bias; what is known of another shape is forgotten. */
  take(circuit: Circuit | null, values: ArrayLike<number>): void {
    let isSame = circuit !== null && circuit.number === this.number;
    this.number = circuit?.number ?? -1;
    const inputs = circuit?.hasTable ? circuit.inputs : [];
    for (let i = 0; i < inputs.length; i++) {
      if (i === circuit?.biasInput) continue;
      isSame &&= this.shape[i] === values[inputs[i]];
      this.shape[i] = values[inputs[i]];
    }
    if (isSame) return;
    this.isOpen = true;
    this.isWhole = false;
    this.cells = 0;
  }

  /** Makes all of it, where nothing is heard yet. `coefficients` in double precision. */
  complete(circuit: Circuit, coefficients: number): void {
    if (!circuit.hasTable || this.isWhole) return;
    this.advance(circuit, coefficients, FRAMES_A_CELL * MAX_CELLS);
    this.isWhole = true;
  }

  /** Frames until the table is begun, or whole; infinite where it is. */
  get framesLeft(): number {
    if (this.isOpen) return 1;
    return this.cells > 0 && !this.isWhole ? this.cells * FRAMES_A_CELL - this.frames : Number.POSITIVE_INFINITY;
  }

  /** Goes on with the table over `frames` base frames of a shape at rest. `coefficients` in double precision. */
  advance(circuit: Circuit, coefficients: number, frames: number): void {
    if (!this.isOpen && this.framesLeft <= 0) this.isWhole = true;
    if (this.isOpen) {
      this.isOpen = false;
      this.frames = 0;
      this.made = 0;
      this.cells = circuit.hasTable ? this.kernels.describeTable(circuit.number, coefficients, this.address) : 0;
    }
    if (this.cells === 0 || this.isWhole) return;
    this.frames += frames;
    const wanted = Math.min(this.cells, Math.floor(this.frames / FRAMES_A_CELL));
    this.kernels.fillTable(circuit.number, coefficients, this.address, this.made, wanted - this.made);
    this.made = wanted;
  }

  /** Has the coefficients at this address use the table, where it is whole. */
  join(coefficients: number): void {
    this.heap.u32[(coefficients + ADDRESS) >> 2] = this.isWhole ? this.address : 0;
  }
}
