/** The single-precision kernels against the kinds' own curves in double precision (`curve.difference`). */
import { describe, expect, it } from 'vitest';
import { Heap } from '../../src/engine/heap.ts';
import { toNumber } from '../../src/engine/parameters.ts';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import { diodeVoltage } from '../../src/engine/stages/diode-pair.ts';
import type { StageKind } from '../../src/engine/stages/stage-kind.ts';
import { MAX_COEFFICIENTS } from '../../src/engine/stages/stage-kind.ts';
import { variantsOf } from '../support/any-stage.ts';
import { freshKernels } from '../support/rig.ts';

const kernels = freshKernels();
const heap = new Heap(kernels);
const source = heap.allocate(4096);
const target = heap.allocate(4096);
const coefficientsAt = heap.allocate(MAX_COEFFICIENTS * 4);

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
const inputs = Float32Array.from([...magnitudes.flatMap((m) => [m, -m]), 0, 0]);

function kernelValues(kind: StageKind, values: Float64Array) {
  const coefficients = new Float64Array(MAX_COEFFICIENTS);
  kind.curve.coefficients(values, coefficients);
  heap.f32.set(coefficients, coefficientsAt >> 2);
  heap.f32.set(inputs, source >> 2);
  const kernel = kind.curve.kernel(values);
  kernels.shape(kernel, source, target, inputs.length / 2, coefficientsAt);
  const got = heap.f32.slice(target >> 2, (target >> 2) + inputs.length);
  // The reference gets the coefficients as the kernel sees them.
  const rounded = Float64Array.from(coefficients, Math.fround);
  const expected = Array.from(inputs, (u) => kind.curve.difference(kernel, rounded, u));
  return { got, expected, coefficients };
}

describe.each(stageKinds.map((kind) => [kind.id, kind] as const))('%s', (_, kind) => {
  const biases = kind.parameters.some(({ id }) => id === 'bias') ? [0, 35, -80, 100, -100] : [0];
  it.each(variantsOf(kind))('agrees with double precision ($name)', ({ values }) => {
    for (const bias of biases) {
      const params: Record<string, number | string> = biases.length > 1 ? { ...values, bias } : values;
      const vector = Float64Array.from(kind.parameters, (p) => toNumber(p, params[p.id]));
      const { got, expected, coefficients } = kernelValues(kind, vector);
      const workingPoint = bias === 0 ? 0 : Math.abs(coefficients[0]);
      // Plain curves keep their relative precision down to nothing, and that of u where they flatten. Biased ones and
      // the diodes are differences of values, so their error is relative to the working point, times the factor that
      // normalises the slope (up to 5.3).
      const cancels = bias !== 0 || kind.id === 'diode-pair';
      // The harmonic set's terms may cancel each other: the error is relative to them.
      const terms = kind.id === 'harmonic-set' ? coefficients.slice(0, 6).reduce((sum, c) => sum + Math.abs(c), 0) : 0;
      let worst = 0;
      for (let i = 0; i < inputs.length; i++) {
        // 4e-16: what the reference itself loses, being a difference of numbers of the size of u.
        const reference = 4e-16 * Math.max(1, Math.abs(inputs[i]));
        const size = Math.abs(inputs[i]);
        const single = cancels
          ? 1e-6 * Math.max(2, workingPoint, size)
          : 3e-6 * Math.max(Math.abs(expected[i]), terms * size ** 2) + (size > 1 ? 2e-7 * size : 0);
        worst = Math.max(worst, Math.abs(got[i] - expected[i]) / (single + reference));
      }
      expect(worst, `bias ${bias}`).toBeLessThan(1);
    }
  });
});

describe('algebraic knee', () => {
  const kind = stageKinds.find(({ id }) => id === 'soft-clip')!;
  const withKnee = (knee: number) => {
    const params: Record<string, number | string> = { curve: 'algebraic', knee };
    return kernelValues(
      kind,
      Float64Array.from(kind.parameters, (p) => toNumber(p, params[p.id] ?? p.default)),
    );
  };

  // Whole powers from 3 to 8 are multiplied out.
  it.each([3, 4, 5, 6, 7, 8, 9, 3.1])('of power %s agrees with double precision', (knee) => {
    const { got, expected } = withKnee(knee);
    for (let i = 0; i < inputs.length; i++) {
      const size = Math.abs(inputs[i]);
      const allowed = 3e-6 * Math.abs(expected[i]) + (size > 1 ? 2e-7 * size : 0) + 4e-16 * Math.max(1, size);
      expect(Math.abs(got[i] - expected[i]), `u ${inputs[i]}`).toBeLessThan(allowed);
    }
  });

  it.each([3, 4, 5, 6, 7, 8])('does not step at the power %s', (knee) => {
    const { got } = withKnee(knee);
    const { got: beside } = withKnee(knee + 1e-4);
    for (let i = 0; i < inputs.length; i++) {
      const allowed = 3e-3 * Math.abs(got[i]) + 1e-9;
      expect(Math.abs(got[i] - beside[i]), `u ${inputs[i]}`).toBeLessThan(allowed);
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
          const params: Record<string, number | string> = { resistance, saturation, up, down };
          const { got, expected, coefficients } = kernelValues(
            kind,
            Float64Array.from(kind.parameters, (p) => toNumber(p, params[p.id])),
          );
          for (let i = 0; i < inputs.length; i++) {
            // The voltage's rounding comes out multiplied by what normalises the slope.
            const error = Math.abs(got[i] - expected[i]) / Math.max(coefficients[4], Math.abs(inputs[i]));
            expect(error, `${resistance} ${saturation} ${up} ${down} u ${inputs[i]}`).toBeLessThan(2e-6);
          }
        }
      }
    }
  });

  it.each([
    [1, 1],
    [1, 3],
    [4, 1],
    [2, 2],
  ])('agrees with a bisection of Shockley at its extremes (%s up, %s down)', (up, down) => {
    for (const resistance of [0.1, 2.2, 100]) {
      for (const saturation of [0.1, 2.52, 2000]) {
        const v1 = 1.752 * 0.02585 * up;
        const drop = (resistance * saturation * 1e-6) / v1;
        const ratio = up / down;
        for (const x of [1e-4, 0.3, 2, 15, 40, 400, -0.5, -12, -80, -400]) {
          const exact = bisect(x, drop, ratio);
          expect(Math.abs(diodeVoltage(x, drop, ratio) - exact)).toBeLessThan(1e-12 * Math.max(1, Math.abs(exact)));
        }
      }
    }
  });

  it('has the voltages of a 1N4148: 0.5838 V at 1 mA, 0.6881 V at 10 mA (reference values, section 6)', () => {
    for (const [current, volts] of [
      [1e-3, 0.583835],
      [1e-2, 0.688117],
    ]) {
      const v1 = 1.752 * 0.02585;
      const resistance = 1000;
      const drop = (resistance * 2.52e-9) / v1;
      const v = diodeVoltage((volts + resistance * current) / v1, drop, 1) * v1;
      expect(Math.abs(v - volts)).toBeLessThan(1e-6);
    }
  });
});

/** The root of v + drop·(e^v − e^(−v·ratio)) = x, monotone in v, by halving. */
function bisect(x: number, drop: number, ratio: number): number {
  let low = Math.min(0, x);
  let high = Math.max(0, x);
  for (let i = 0; i < 200; i++) {
    const v = (low + high) / 2;
    if (v + drop * (Math.exp(v) - Math.exp(-v * ratio)) < x) low = v;
    else high = v;
  }
  return (low + high) / 2;
}
