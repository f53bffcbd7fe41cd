/** What a stage does as set, from its declaration alone: curve, harmonics and where it reaches 1 % THD. */
import { clamp, dbToGain, gainToDb } from '../dsp/units.ts';
import {
  alignmentAmplitude,
  amplitudeOfOnePercent,
  harmonicsOf,
  totalHarmonicDistortion,
} from '../engine/calibration.ts';
import { type CircuitProbe, circuitInputs, circuitProbe } from '../engine/circuit-probe.ts';
import { toNumber } from '../engine/parameters.ts';
import { findStageKind } from '../engine/stages/catalogue.ts';
import type { StageKind } from '../engine/stages/stage-kind.ts';
import type { Stage } from '../session/document.ts';
import type { StageFace } from './figures.ts';

const POINTS = 129;
const HIGHEST = 7;
/** Weaker harmonics than this are not shown. */
const FLOOR_DBC = -140;

/** A stage's curve without emphasis, at its kind's tone where it has a memory of its own: outputs for inputs after trim in, full scale ±1; null for an unknown kind. */
export function staticCurve(stage: Stage, alignmentDbfs: number): ((x: Float64Array) => Float64Array) | null {
  const kind = findStageKind(stage.kind);
  return kind ? setCurve(kind, stage, alignmentDbfs).curve : null;
}

/** The kind's curve with everything that the stage's parameters set. */
function setCurve(kind: StageKind, stage: Stage, alignmentDbfs: number) {
  const values = Float64Array.from(kind.parameters, (parameter) => toNumber(parameter, stage.params[parameter.id]));
  const circuit = kind.circuit(values);
  const inputs = circuitInputs(circuit, values);
  // Knee units per unit of signal after trim in.
  const drive = (dbToGain(values[kind.at.drive]) * alignmentAmplitude(kind, values)) / dbToGain(alignmentDbfs);
  const blend = values[kind.at.blend] / 100;
  const settle = kind.circuitSettleSeconds(values);
  const curve = (x: Float64Array) => {
    const probe = circuitProbe();
    probe.load(circuit, inputs);
    const added = circuit.isCurve ? probe.added(x.map((one) => drive * one)) : averageOfLoop(probe, x, drive, settle);
    return x.map((one, i) => one + (blend * added[i]) / drive);
  };
  return { values, circuit, inputs, drive, blend, settle, curve };
}

/** Null for a kind this version doesn't know. `histogram` is filled in by the analysis. */
export function stageFace(stage: Stage, alignmentDbfs: number): StageFace | null {
  const kind = findStageKind(stage.kind);
  if (!kind) return null;
  const { values, circuit, inputs, drive, blend, settle, curve } = setCurve(kind, stage, alignmentDbfs);
  const alignment = dbToGain(alignmentDbfs);

  const range = curveRange(alignmentDbfs);
  const curveX = Float64Array.from({ length: POINTS }, (_, i) => range * ((2 * i) / (POINTS - 1) - 1));
  const curveY = curve(curveX);

  const harmonicsAt = (amplitude: number, told = inputs) => {
    const all = harmonicsOf(circuit, told, amplitude * drive, 20, settle);
    // Blend scales what the curve adds; the straight line stays.
    const straight = amplitude * drive;
    for (let n = 0; n < all.length; n++) all[n] = n === 1 ? straight + blend * (all[1] - straight) : blend * all[n];
    return all;
  };
  const reached = alignment * dbToGain(values[kind.at.trimIn]);
  const atAlignment = harmonicsAt(reached);
  const isBiased = circuit.biasInput >= 0 && inputs[circuit.biasInput] !== 0;
  const unbiased = isBiased ? harmonicsAt(reached, inputs.with(circuit.biasInput, 0)) : null;
  const harmonics = Array.from({ length: HIGHEST - 1 }, (_, i) => {
    const dbc = gainToDb(atAlignment[i + 2] / atAlignment[1]);
    return { n: i + 2, dbc: dbc > FLOOR_DBC ? dbc : null };
  });
  const onePercent = () => {
    if (circuit.isCurve) return onePercentLevel((amplitude) => totalHarmonicDistortion(harmonicsAt(amplitude)));
    // With all of what it adds, this is what its drive is counted from.
    const isPlain = circuit.onTop.every(({ input, value }) => inputs[input] === value);
    if (blend === 1 && isPlain) return alignmentDbfs - values[kind.at.drive];
    return blend > 0 ? gainToDb(amplitudeOfOnePercent((u) => harmonicsAt(u / drive), circuit) / drive) : null;
  };
  return {
    stageId: stage.id,
    curveX,
    curveY,
    histogram: null,
    loop: null,
    toneHz: circuit.toneHz,
    harmonics,
    thdPercent: 100 * totalHarmonicDistortion(atAlignment),
    unbiasedThdPercent: unbiased && 100 * totalHarmonicDistortion(unbiased),
    onePercentDbfs: onePercent(),
  };
}

/**
 * A circuit with memory has no curve but at a frequency: what it adds to its tone as far as the inputs `x` reach, settled,
 * the way up and the way down averaged, and taken through the origin.
 */
function averageOfLoop(probe: CircuitProbe, x: Float64Array, drive: number, settle: number): Float64Array {
  const range = x.reduce((most, one) => Math.max(most, Math.abs(one)), 1e-9);
  const period = probe.period(drive * range, settle);
  const between = (place: number) => {
    const before = Math.floor(place);
    const t = place - before;
    return period[before % period.length] * (1 - t) + period[(before + 1) % period.length] * t;
  };
  const at = (one: number) => {
    const place = (period.length * Math.acos(clamp(one / range, -1, 1))) / (2 * Math.PI);
    return (between(place) + between(period.length - place)) / 2;
  };
  const rest = at(0);
  return x.map((one) => at(one) - rest);
}

/** Half-width of the curve's picture: 12 dB over the alignment peak, as linear amplitude, at most full scale and a half. */
export function curveRange(alignmentDbfs: number): number {
  return clamp(dbToGain(alignmentDbfs + 12), 0.1, 1.5);
}

/** Lowest level, dBFS, at which THD reaches 1 %, searched from −60 to +24 dBFS in whole dB and then refined. */
function onePercentLevel(thd: (amplitude: number) => number): number | null {
  for (let level = -60; level <= 24; level += 2) {
    if (thd(dbToGain(level)) < 0.01) continue;
    if (level === -60) return level;
    let low = level - 2;
    let high = level;
    for (let i = 0; i < 12; i++) {
      const middle = (low + high) / 2;
      if (thd(dbToGain(middle)) < 0.01) low = middle;
      else high = middle;
    }
    return high;
  }
  return null;
}
