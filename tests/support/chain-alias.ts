/** Alias of a chain of equal stages: what stands between the harmonics below 20 kHz, for the tests and the bench. */
import { dbToGain } from '../../src/dsp/units.ts';
import { alignmentAmplitude, totalHarmonicDistortion } from '../../src/engine/calibration.ts';
import { circuitInputs, circuitProbe } from '../../src/engine/circuit-probe.ts';
import { findStageKind } from '../../src/engine/stages/catalogue.ts';
import { stage } from './rig.ts';
import { steadyTone } from './steady-tone.ts';

type Params = Record<string, number | string>;

const POINTS = 2048;
/** cos(πk/POINTS): every angle that a sum over the points needs. */
const COSINE = Float64Array.from({ length: 2 * POINTS }, (_, k) => Math.cos((Math.PI * k) / POINTS));
const drives = new Map<string, number>();

/**
 * Drive in dB, the same for each of `count` equal stages, at which the chain makes `thdF` of a sine at the alignment
 * level. Solved on the curves themselves in double precision, harmonics to the 20th (20 kHz for 1 kHz).
 */
export function driveForThd(kindId: string, params: Params, count: number, thdF: number): number {
  // The same for every frequency.
  const asked = JSON.stringify([kindId, params, count, thdF]);
  const known = drives.get(asked) ?? solveDrive(kindId, params, count, thdF);
  drives.set(asked, known);
  return known;
}

function solveDrive(kindId: string, params: Params, count: number, thdF: number): number {
  const kind = findStageKind(kindId);
  if (!kind) throw new Error(`no kind ${kindId}`);
  const values = Float64Array.from(stage(kindId, params).values);
  const circuit = kind.circuit(values);
  const probe = circuitProbe();
  const aligned = alignmentAmplitude(kind, values);
  let low = -24;
  let high = 24;
  for (let i = 0; i < 40; i++) {
    const drive = (low + high) / 2;
    const amplitude = aligned * dbToGain(drive);
    let period = Float64Array.from({ length: POINTS }, (_, n) => amplitude * COSINE[2 * n + 1]);
    probe.load(circuit, circuitInputs(circuit, values));
    for (let s = 0; s < count; s++) {
      const added = probe.added(period);
      period = period.map((u, n) => u + added[n]);
    }
    if (totalHarmonicDistortion(cosines(period, 20)) < thdF) low = drive;
    else high = drive;
  }
  return (low + high) / 2;
}

function cosines(period: Float64Array, highest: number): Float64Array {
  return Float64Array.from({ length: highest + 1 }, (_, n) => {
    let sum = 0;
    for (let i = 0; i < POINTS; i++) sum += period[i] * COSINE[(n * (2 * i + 1)) % COSINE.length];
    return (2 * sum) / POINTS;
  });
}

/** Alias in dBc of a chain of `count` stages of 10 % THD_F in all, driven with a sine at the alignment level. */
export function chainAlias(
  kindId: string,
  params: Params,
  frequency: number,
  options: { factor?: 4 | 8; count?: number; size?: number; thdF?: number } = {},
): number {
  const { factor = 4, count = 3, size = 32768, thdF = 0.1 } = options;
  const drive = driveForThd(kindId, params, count, thdF);
  // DC coupled: the tail of the coupling's own transient (2 Hz) would read as alias.
  const stages = Array.from({ length: count }, () => stage(kindId, { ...params, drive, coupling: 'dc' }));
  return steadyTone(stages, { frequency, factor, size }).aliasDbc ?? Number.NEGATIVE_INFINITY;
}
