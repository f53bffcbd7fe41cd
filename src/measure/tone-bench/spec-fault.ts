import { findStageKind } from '../../engine/stages/catalogue.ts';
import type { BenchParameter, BenchSpec } from './spec.ts';
import { BENCH_TESTS, benchValues, findBenchTest } from './spec.ts';

/** Most tones of one sweep. */
const MOST_POINTS = 150;

/** What is wrong with a request, as a sentence that says what to do; null when it can be measured. */
export function benchFault(spec: BenchSpec): string | null {
  const test = findBenchTest(spec.test);
  if (!test) {
    return `There is no test "${spec.test}"; choose one of ${BENCH_TESTS.map(({ id }) => id).join(', ')}.`;
  }
  const { sampleRate, oversampling, alignmentDbfs, rack } = spec;
  if (!(sampleRate >= 8000 && sampleRate <= 192_000)) {
    return `The sample rate must lie between 8000 and 192000 Hz; it was ${sampleRate}.`;
  }
  if (oversampling !== 4 && oversampling !== 8) return `Over-sampling must be 4 or 8; it was ${oversampling}.`;
  if (!(alignmentDbfs >= -30 && alignmentDbfs <= -6)) {
    return `The operating level must lie between −30 and −6 dBFS; it was ${alignmentDbfs}.`;
  }
  const unknown = rack.stages.find(({ kind }) => !findStageKind(kind));
  if (unknown) return `There is no stage kind "${unknown.kind}"; take that stage out of the rack.`;
  if (spec.test === 'stack' && !(rack.on && rack.stages.some(({ on }) => on))) {
    return 'The rack has no stage that is switched on, so there is no stack to show; add one or switch one on.';
  }
  const known = test.parameters.map(({ id }) => id);
  const stray = Object.keys(spec.values).find((id) => !known.includes(id));
  if (stray !== undefined) return `The test "${test.id}" has no parameter "${stray}"; it has ${known.join(', ')}.`;
  const values = benchValues(spec);
  for (const parameter of test.parameters) {
    const fault = valueFault(parameter, values[parameter.id], sampleRate);
    if (fault) return fault;
  }
  return orderFault(values);
}

function valueFault({ id, unit, min, max }: BenchParameter, value: unknown, sampleRate: number): string | null {
  const shown = unit === '' ? '' : ` ${unit}`;
  if (!(typeof value === 'number' && value >= min && value <= max)) {
    return `${id} must be a number from ${text(min)} to ${text(max)}${shown}; it was ${String(value)}.`;
  }
  if (unit === 'Hz' && value >= sampleRate / 2) {
    return `${id} must lie below half the sample rate (${sampleRate / 2} Hz); it was ${value} Hz. Lower it or raise the rate.`;
  }
  return null;
}

function orderFault({ f1, f2, from, to, step, lowest, highest, points }: Record<string, number>): string | null {
  if (f1 !== undefined && !(f1 < f2)) return `f1 must be lower than f2; they were ${f1} and ${f2} Hz.`;
  if (from !== undefined) {
    if (!(from < to)) return `from must be lower than to; they were ${text(from)} and ${text(to)} dBFS.`;
    if ((to - from) / step >= MOST_POINTS) return `A sweep has at most ${MOST_POINTS} levels; take a larger step.`;
  }
  if (lowest !== undefined) {
    if (!(lowest < highest)) return `lowest must be lower than highest; they were ${lowest} and ${highest} Hz.`;
    if (Math.log2(highest / lowest) * points >= MOST_POINTS) {
      return `A sweep has at most ${MOST_POINTS} tones; take fewer points per octave.`;
    }
  }
  return null;
}

function text(value: number): string {
  return String(value).replace('-', '−');
}
