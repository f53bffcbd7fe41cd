/** 31 tones through a rack, and everything below 20 kHz that none of their products explains. */
import FFT from 'fft.js';
import { powerToDb } from '../../src/dsp/units.ts';
import type { StageConfig } from '../../src/engine/config.ts';
import type { RigOptions } from './rig.ts';
import { rack, runRack } from './rig.ts';

const TONES = 31;
/** Every tone is a multiple of so many lines, and so is every product of them; odd, so that no folded one is. */
const GRID = 33;
const SETTLE = 4096;

/**
 * Sum of all alias below 20 kHz against the sum of the tones, dB. The tones are spread evenly up to just below 20 kHz,
 * equally strong, and have together the power of a sine of `dbfs`. DC coupling is the caller's choice.
 */
export function chordAlias(stages: StageConfig[], options: RigOptions & { dbfs?: number; size?: number } = {}): number {
  const { dbfs = -18, size = 32768, sampleRate = 48000 } = options;
  const lines = Array.from({ length: TONES }, (_, i) => {
    const hertz = (19_950 * (i + 1)) / TONES;
    return GRID * Math.floor((hertz * size) / sampleRate / GRID);
  });
  const amplitude = 10 ** (dbfs / 20) / Math.sqrt(TONES);
  const input = Float32Array.from({ length: size + SETTLE + 128 }, (_, n) => {
    let sum = 0;
    // Quadratic phases keep the crest low, as Schroeder's do (IEEE Trans. IT-16, 1970; from memory).
    lines.forEach((line, i) => {
      sum += Math.sin((2 * Math.PI * ((line * n) % size)) / size - (Math.PI * i * i) / TONES);
    });
    return amplitude * sum;
  });
  const [left] = runRack(rack(stages), [input], options);
  const spectrum = new Float64Array(2 * size);
  new FFT(size).realTransform(spectrum, left.subarray(SETTLE, SETTLE + size));
  const power = (line: number) => spectrum[2 * line] ** 2 + spectrum[2 * line + 1] ** 2;
  let alias = 0;
  for (let line = 1; line <= (20_000 * size) / sampleRate; line++) if (line % GRID !== 0) alias += power(line);
  return powerToDb(alias / lines.reduce((sum, line) => sum + power(line), 0));
}
