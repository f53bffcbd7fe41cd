/** The look-up tables of dear curves against the curves themselves in double precision. */
import { describe, expect, it } from 'vitest';
import { CircuitProbe, circuitInputs } from '../../src/engine/circuit-probe.ts';
import { Heap } from '../../src/engine/heap.ts';
import {
  COEFFICIENT_BYTES,
  MAX_CELLS,
  MAX_COEFFICIENTS,
  TABLE_BYTES,
} from '../../src/engine/kernel-table.generated.ts';
import { findStageKind } from '../../src/engine/stages/catalogue.ts';
import { freshKernels, rack, runRack, stage } from '../support/rig.ts';

const kernels = freshKernels();
const heap = new Heap(kernels);
const inputsAt = heap.allocate(8 * MAX_COEFFICIENTS);
const wide = heap.allocate(COEFFICIENT_BYTES);
const narrow = wide + 8 * MAX_COEFFICIENTS;
const table = heap.allocate(TABLE_BYTES);
const source = heap.allocate(8 * 4096);
const target = heap.allocate(8 * 4096);
const probe = new CircuitProbe(freshKernels());

/** From −100 dB to +60 dB of the knee, both signs, 25 to a decade and off the table's cells. */
const points = Float32Array.from({ length: 8192 }, (_, i) => (i % 2 ? -1 : 1) * 10 ** (-5 + (8 * i) / 8192));

function errorOf(kindId: string, params: Record<string, number | string>) {
  const kind = findStageKind(kindId)!;
  const { values } = stage(kindId, params);
  const circuit = kind.circuit(values);
  const inputs = circuitInputs(circuit, values);
  heap.f64.set(inputs, inputsAt >> 3);
  kernels.prepare(circuit.number, inputsAt, wide, 384_000);
  const cells = kernels.describeTable(circuit.number, wide, table);
  kernels.fillTable(circuit.number, wide, table, 0, cells);
  heap.u32[(wide + 12 * MAX_COEFFICIENTS) >> 2] = table;
  heap.f32.set(points, source >> 2);
  kernels.shape(circuit.number, source, target, points.length / 2, narrow);
  probe.load(circuit, inputs);
  const exact = probe.added(points);
  const [, steep] = probe.prepared;
  let worst = 0;
  points.forEach((u, i) => {
    const error = Math.abs(heap.f32[(target >> 2) + i] - exact[i]);
    // What normalises the slope at the working point multiplies the rounding of the curve's value.
    worst = Math.max(worst, error / Math.max(Math.abs(u), steep - 1));
  });
  return { worst, cells };
}

describe('a table', () => {
  it.each([1.01, 1.2, 1.5, 1.9, 2.5, 3.3, 4.9, 5.1, 8.5, 9.9, 10.1, 13.1, 20, 27, 60, 99])(
    'of the algebraic knee %s is within 6e-7 of the signal',
    (knee) => {
      const { worst, cells } = errorOf('soft-clip', { curve: 'algebraic', knee });
      expect(worst).toBeLessThan(6e-7);
      expect(cells).toBeLessThanOrEqual(MAX_CELLS);
    },
  );

  it('of diodes is within 4e-6 of the signal over the whole range of the circuit, 5e-7 with the usual parts', () => {
    for (const [up, down] of [
      ['1', '1'],
      ['4', '1'],
      ['1', '4'],
      ['2', '3'],
    ]) {
      expect(errorOf('diode-pair', { up, down }).worst).toBeLessThan(5e-7);
      for (const resistance of [0.1, 3, 100]) {
        for (const saturation of [0.1, 20, 2000]) {
          const { worst, cells } = errorOf('diode-pair', { up, down, resistance, saturation });
          expect(worst, `${up} ${down} ${resistance} ${saturation}`).toBeLessThan(4e-6);
          expect(cells).toBeLessThanOrEqual(MAX_CELLS);
        }
      }
    }
  });
});

describe('a stage with a table', () => {
  const tone = Float32Array.from({ length: 24_000 }, (_, i) => 0.3 * Math.sin(i * 0.03));
  const diodes = (resistance: number) => rack([{ ...stage('diode-pair', { resistance, coupling: 'dc' }), key: 'one' }]);

  it('sounds as if it had always been so when its shape has moved and its table is made anew', () => {
    const [always] = runRack(diodes(10), [tone]);
    const [moved] = runRack(diodes(2), [tone], {
      before: (frame, processor) => {
        if (frame === 1280) processor.set(diodes(10));
      },
    });
    const [before] = runRack(diodes(2), [tone]);
    const end = (samples: Float32Array) => samples.slice(12_000);
    expect(end(moved).every((value, i) => Math.abs(value - end(always)[i]) < 1e-9)).toBe(true);
    expect(end(moved).some((value, i) => Math.abs(value - end(before)[i]) > 1e-3)).toBe(true);
    // On the way it is computed directly, which nobody hears end: no step, only the tone's own slope.
    let steepest = 0;
    for (let i = 1400; i < 8000; i++) {
      steepest = Math.max(steepest, Math.abs(moved[i] - 2 * moved[i - 1] + moved[i - 2]));
    }
    expect(steepest).toBeLessThan(3e-3);
  });
});
