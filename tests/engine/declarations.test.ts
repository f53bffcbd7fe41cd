/** Every kind's declarations: what the screen, the command line, the validation and the documentation rely on. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { circuitInputs, circuitProbe } from '../../src/engine/circuit-probe.ts';
import { fromTravel, parameterFault, toNumber, toTravel } from '../../src/engine/parameters.ts';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import { anyStageOf } from '../support/any-stage.ts';

it('kinds have ids and labels of their own', () => {
  expect(new Set(stageKinds.map(({ id }) => id)).size).toBe(stageKinds.length);
  expect(new Set(stageKinds.map(({ label }) => label)).size).toBe(stageKinds.length);
});

describe.each(stageKinds.map((kind) => [kind.id, kind] as const))('%s', (_, kind) => {
  it('has parameters with ids of their own, texts, and defaults that pass their own validation', () => {
    expect(new Set(kind.parameters.map(({ id }) => id)).size).toBe(kind.parameters.length);
    for (const parameter of kind.parameters) {
      expect(parameter.id).toMatch(/^[a-z][A-Za-z0-9]*$/);
      expect(parameter.about).toMatch(/\.$/);
      expect(parameterFault(parameter, parameter.default), parameter.id).toBeNull();
      expect(parameterFault(parameter, Number.NaN), parameter.id).not.toBeNull();
      if (parameter.type === 'choice') {
        expect(new Set(parameter.choices.map(({ id }) => id)).size).toBe(parameter.choices.length);
      } else {
        expect(parameter.min).toBeLessThan(parameter.max);
        if (parameter.taper === 'log') expect(parameter.min).toBeGreaterThan(0);
        expect(fromTravel(parameter, toTravel(parameter, parameter.default))).toBeCloseTo(parameter.default, 9);
      }
      if (parameter.when) {
        const { id, is } = parameter.when;
        const other = kind.parameters.find((candidate) => candidate.id === id);
        expect(other?.type === 'choice' && other.choices.some((choice) => choice.id === is)).toBe(true);
      }
    }
  });

  it('gives the engine finite numbers whatever it is handed', () => {
    for (const parameter of kind.parameters) {
      for (const value of [
        Number.NaN,
        Number.POSITIVE_INFINITY,
        Number.NEGATIVE_INFINITY,
        undefined,
        'nonsense',
        1e300,
      ]) {
        const number = toNumber(parameter, value);
        expect(Number.isFinite(number), `${parameter.id} ${String(value)}`).toBe(true);
        if (parameter.type === 'continuous') {
          expect(number).toBeGreaterThanOrEqual(parameter.min);
          expect(number).toBeLessThanOrEqual(parameter.max);
        }
      }
    }
  });

  it('makes finite coefficients of any values, and no curve adds anything to silence', () => {
    fc.assert(
      fc.property(anyStageOf(kind), ({ values }) => {
        const circuit = kind.circuit(values);
        expect(kind.circuits).toContain(circuit);
        const probe = circuitProbe();
        probe.load(circuit, circuitInputs(circuit, values));
        expect(probe.prepared.every(Number.isFinite)).toBe(true);
        if (circuit.isCurve) expect(Math.abs(probe.added([0])[0])).toBe(0);
      }),
      { endOnFailure: true, seed: 20 },
    );
  });
});
