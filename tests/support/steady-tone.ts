/** A steady sine through a rack, and what comes out of it, without window or transient. */
import type { HarmonicAnalysis } from '../../src/dsp/harmonics.ts';
import { analyseHarmonics } from '../../src/dsp/harmonics.ts';
import { sine, snapFrequency } from '../../src/dsp/tones.ts';
import { dbToGain } from '../../src/dsp/units.ts';
import type { StageConfig } from '../../src/engine/config.ts';
import type { RigOptions } from './rig.ts';
import { rack, runRack } from './rig.ts';

export interface ToneOptions extends RigOptions {
  frequency?: number;
  /** Peak level of the sine. */
  dbfs?: number;
  /** Frames analysed, a power of two; as many run before. */
  size?: number;
  maxOrder?: number;
  phase?: number;
}

/** Frames from an end of a `runRack` result that the analysis must keep away from: the over-sampler's filters. */
const TAIL = 128;

/** Output samples of the second period block of a steady tone. */
export function steadyOutput(
  stages: StageConfig[],
  options: ToneOptions = {},
): { samples: Float32Array; frequency: number } {
  const { frequency = 997, dbfs = -18, size = 16384, sampleRate = 48000, phase = 0.3 } = options;
  const exact = snapFrequency(frequency, sampleRate, size);
  const input = Float32Array.from(sine(2 * size + TAIL, sampleRate, exact, dbToGain(dbfs), phase));
  const [left] = runRack(rack(stages), [input], options);
  return { samples: left.slice(size, 2 * size), frequency: exact };
}

/** Harmonics of a steady tone after the stages. */
export function steadyTone(stages: StageConfig[], options: ToneOptions = {}): HarmonicAnalysis {
  const { samples, frequency } = steadyOutput(stages, options);
  return analyseHarmonics(samples, options.sampleRate ?? 48000, frequency, options.maxOrder ?? 20);
}

/** Level of harmonic n, dBc. */
export function dbcOf(analysis: HarmonicAnalysis, n: number): number {
  return analysis.harmonics[n - 2].dbc ?? Number.NEGATIVE_INFINITY;
}
