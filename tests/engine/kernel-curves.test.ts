/**
 * The curves' kernels: in single precision against themselves in double, within the precision each one states, and in
 * double precision against formulas written apart from them (tests/support/curve-oracle.ts).
 */
import { describe, expect, it } from 'vitest';
import { CircuitProbe, circuitInputs } from '../../src/engine/circuit-probe.ts';
import { Heap } from '../../src/engine/heap.ts';
import { COEFFICIENT_BYTES, kernelTable } from '../../src/engine/kernel-table.generated.ts';
import { toNumber } from '../../src/engine/parameters.ts';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import type { Circuit, StageKind } from '../../src/engine/stages/stage-kind.ts';
import { MAX_COEFFICIENTS } from '../../src/engine/stages/stage-kind.ts';
import { variantsOf } from '../support/any-stage.ts';
import { curveOracle, diodeScale, diodeVoltage } from '../support/curve-oracle.ts';
import { freshKernels } from '../support/rig.ts';

const kernels = freshKernels();
const heap = new Heap(kernels);
const source = heap.allocate(4096);
const target = heap.allocate(4096);
const inputsAt = heap.allocate(MAX_COEFFICIENTS * 8);
const coefficientsAt = heap.allocate(COEFFICIENT_BYTES);
const narrowAt = coefficientsAt + MAX_COEFFICIENTS * 8;
const probe = new CircuitProbe(freshKernels());

/** Magnitudes from −80 dB to +60 dB of the knee, both signs, and the neighbourhood of the corners. */
const magnitudes = [
  ...Array.from({ length: 71 }, (_, i) => 10 ** ((2 * i - 80) / 20)),
  0.5,
  0.9,
  0.99,
  0.999,
  1,
  1.001,
  1.01,
  1.1,
  7.9,
  8,
  8.1,
];
const points = Float32Array.from([...magnitudes.flatMap((m) => [m, -m]), 0, 0]);

type Params = Record<string, number | string>;

/** A kind's curve with these parameters: in single precision, in double, and by its oracle. */
function curveOf(kind: StageKind, params: Params) {
  const values = kind.parameters.map((p) => toNumber(p, params[p.id] ?? p.default));
  const circuit = kind.circuit(values);
  const inputs = circuitInputs(circuit, values);
  heap.f64.set(inputs, inputsAt >> 3);
  kernels.prepare(circuit.number, inputsAt, coefficientsAt, 192000);
  heap.f32.set(points, source >> 2);
  kernels.shape(circuit.number, source, target, points.length / 2, narrowAt);
  const single = heap.f32.slice(target >> 2, (target >> 2) + points.length);
  probe.load(circuit, inputs);
  const { inputs: names } = kernelTable[circuit.kernel];
  const oracle = curveOracle(circuit.kernel, Object.fromEntries(names.map((name, i) => [name, inputs[i]])));
  return { circuit, single, double: probe.added(points), oracle, prepared: probe.prepared };
}

/** Largest error of single precision in units of what the kernel states. */
function worstOf(kind: StageKind, { circuit, single, double, prepared }: ReturnType<typeof curveOf>): number {
  const { own, input, biased } = statedPrecision(circuit);
  const [b, steep] = prepared;
  // Where the curve is taken at a working point it is a difference of values: its error is that of the working point,
  // times what normalises the slope there. A sum of powers may cancel: its error is that of its terms.
  const terms = circuit.kernel === 'harmonicSet' ? prepared.slice(2, 8).reduce((sum, c) => sum + Math.abs(c), 0) : 0;
  let worst = 0;
  for (let i = 0; i < points.length; i++) {
    const size = Math.abs(points[i]);
    const moved = b !== 0 || steep !== 1 ? biased * Math.max(2, Math.abs(b), size, 2 * steep) : 0;
    const plain = own * Math.max(Math.abs(double[i]), terms * size ** 2) + (size > 1 ? input * size : 0);
    // 4e-16: what double precision itself loses, being a difference of numbers of the size of u.
    const allowed = plain + moved + 4e-16 * Math.max(1, size);
    worst = Math.max(worst, Math.abs(single[i] - double[i]) / allowed);
  }
  expect(kind.circuits).toContain(circuit);
  return worst;
}

function statedPrecision({ kernel }: Circuit) {
  const { precision } = kernelTable[kernel];
  if (!precision) throw new Error(`${kernel} is no curve`);
  return precision;
}

const curves = stageKinds.filter(({ circuits }) => circuits.some(({ isCurve }) => isCurve));

describe.each(curves.map((kind) => [kind.id, kind] as const))('%s', (_, kind) => {
  const biases = kind.parameters.some(({ id }) => id === 'bias') ? [0, 35, -80, 100, -100] : [0];
  it.each(variantsOf(kind))('holds the precision it states, and agrees with its formula ($name)', ({ values }) => {
    for (const bias of biases) {
      const curve = curveOf(kind, biases.length > 1 ? { ...values, bias } : values);
      expect(worstOf(kind, curve), `bias ${bias}`).toBeLessThan(1);
      const [b, steep] = curve.prepared;
      for (let i = 0; i < points.length; i++) {
        const error = Math.abs(curve.double[i] - curve.oracle(points[i]));
        expect(error, `bias ${bias} u ${points[i]}`).toBeLessThan(
          1e-14 * Math.max(1, Math.abs(points[i]), Math.abs(b)) * steep,
        );
      }
    }
  });
});

describe('algebraic knee', () => {
  const kind = stageKinds.find(({ id }) => id === 'soft-clip')!;
  const withKnee = (knee: number) => curveOf(kind, { curve: 'algebraic', knee });

  // Whole powers from 3 to 8 are multiplied out.
  it.each([3, 4, 5, 6, 7, 8, 9, 3.1])('of power %s holds its precision', (knee) => {
    expect(worstOf(kind, withKnee(knee))).toBeLessThan(1);
  });

  it.each([3, 4, 5, 6, 7, 8])('does not step at the power %s', (knee) => {
    const { single } = withKnee(knee);
    const { single: beside } = withKnee(knee + 1e-4);
    for (let i = 0; i < points.length; i++) {
      const allowed = 3e-3 * Math.abs(single[i]) + 1e-9;
      expect(Math.abs(single[i] - beside[i]), `u ${points[i]}`).toBeLessThan(allowed);
    }
  });
});

describe('diode pair', () => {
  it('agrees with double precision over the whole range of the circuit', () => {
    const kind = stageKinds.find(({ id }) => id === 'diode-pair')!;
    for (const resistance of [0.1, 1, 10, 100]) {
      for (const saturation of [0.1, 2.5, 60, 2000]) {
        for (const [up, down] of [
          ['1', '1'],
          ['4', '1'],
          ['1', '4'],
        ]) {
          const { single, double, prepared } = curveOf(kind, { resistance, saturation, up, down });
          for (let i = 0; i < points.length; i++) {
            // The voltage's rounding comes out multiplied by what normalises the slope.
            const error = Math.abs(single[i] - double[i]) / Math.max(prepared[1], Math.abs(points[i]));
            expect(error, `${resistance} ${saturation} ${up} ${down} u ${points[i]}`).toBeLessThan(2e-6);
          }
        }
      }
    }
  });

  it('has the voltages of a 1N914: 0.5838 V at 1 mA, 0.6881 V at 10 mA (docs/reference-values.md, section 6)', () => {
    const kind = stageKinds.find(({ id }) => id === 'diode-pair')!;
    const values = kind.parameters.map((p) => toNumber(p, p.id === 'resistance' ? 1 : p.default));
    const circuit = kind.circuit(values);
    probe.load(circuit, circuitInputs(circuit, values));
    const v1 = 1.752 * 0.02585;
    const { drop } = diodeScale(1, 1, 1, 2.52);
    for (const [current, volts] of [
      [1e-3, 0.583835],
      [1e-2, 0.688117],
    ]) {
      const u = (volts + 1000 * current) / v1;
      // F(u) = v(u)·steep, unbiased.
      const v = ((probe.added([u])[0] + u) / probe.prepared[1]) * v1;
      expect(Math.abs(v - volts)).toBeLessThan(1e-6);
      expect(Math.abs(diodeVoltage(u, drop, 1) * v1 - volts)).toBeLessThan(1e-6);
    }
  });
});
