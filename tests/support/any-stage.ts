/** Stages of every kind with any values inside their declared ranges, for fast-check. */
import fc from 'fast-check';
import type { StageConfig } from '../../src/engine/config.ts';
import type { Parameter, ParameterValue } from '../../src/engine/parameters.ts';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import type { StageKind } from '../../src/engine/stages/stage-kind.ts';
import { stage } from './rig.ts';

/** A value inside the range, the ends more often than chance. */
function anyValue(parameter: Parameter): fc.Arbitrary<ParameterValue> {
  if (parameter.type === 'choice') return fc.constantFrom(...parameter.choices.map(({ id }) => id));
  return fc.oneof(
    fc.constantFrom(parameter.min, parameter.max, parameter.default),
    fc.double({ min: parameter.min, max: parameter.max, noNaN: true }),
  );
}

export function anyStageOf(kind: StageKind): fc.Arbitrary<StageConfig> {
  return fc
    .record(Object.fromEntries(kind.parameters.map((parameter) => [parameter.id, anyValue(parameter)])))
    .map((values) => stage(kind.id, values));
}

export function anyStage(): fc.Arbitrary<StageConfig> {
  return fc.oneof(...stageKinds.map(anyStageOf));
}

/** Every kind at its defaults and, for each of its choices and of its named ends, once with that. */
export function variantsOf(kind: StageKind): { name: string; values: Record<string, ParameterValue> }[] {
  const variants: { name: string; values: Record<string, ParameterValue> }[] = [{ name: 'defaults', values: {} }];
  for (const parameter of kind.parameters) {
    if (parameter.type === 'choice') {
      for (const { id } of parameter.choices) {
        if (id !== parameter.default) variants.push({ name: `${parameter.id} ${id}`, values: { [parameter.id]: id } });
      }
      continue;
    }
    const needed = parameter.when ? { [parameter.when.id]: parameter.when.is } : {};
    const between = parameter.when ? [1.5, 6].filter((v) => v > parameter.min && v < parameter.max) : [];
    for (const value of parameter.taper === 'log' ? [parameter.min, ...between, parameter.max] : []) {
      variants.push({ name: `${parameter.id} ${value}`, values: { ...needed, [parameter.id]: value } });
    }
  }
  return variants;
}
