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

interface ChordOptions {
  readonly dbfs?: number;
  /** Frames of a period, a power of two. */
  readonly size?: number;
  readonly sampleRate?: number;
}

function chordLines({ size = 32768, sampleRate = 48000 }: ChordOptions): number[] {
  return Array.from({ length: TONES }, (_, i) => {
    const hertz = (19_950 * (i + 1)) / TONES;
    return GRID * Math.floor((hertz * size) / sampleRate / GRID);
  });
}

/**
 * 31 tones, evenly spread up to just below 20 kHz, equally strong, together of the power of a sine of `dbfs`; `length`
 * frames.
 */
export function chordTones(length: number, options: ChordOptions): Float32Array {
  const { dbfs = -18, size = 32768 } = options;
  const lines = chordLines(options);
  const amplitude = 10 ** (dbfs / 20) / Math.sqrt(TONES);
  const wave = Float32Array.from({ length: Math.min(length, size) }, (_, n) => {
    let sum = 0;
    // Quadratic phases keep the crest low, as Schroeder's do (IEEE Trans. IT-16, 1970; from memory).
    lines.forEach((line, i) => {
      sum += Math.sin((2 * Math.PI * ((line * n) % size)) / size - (Math.PI * i * i) / TONES);
    });
    return amplitude * sum;
  });
  return Float32Array.from({ length }, (_, n) => wave[n % size]);
}

/** Sum of all alias below 20 kHz against the sum of the tones, dB. DC coupling is the caller's choice. */
export function chordAlias(stages: StageConfig[], options: RigOptions & ChordOptions = {}): number {
  const { size = 32768, sampleRate = 48000 } = options;
  const lines = chordLines(options);
  const [left] = runRack(rack(stages), [chordTones(size + SETTLE + 128, options)], options);
  const spectrum = new Float64Array(2 * size);
  new FFT(size).realTransform(spectrum, left.subarray(SETTLE, SETTLE + size));
  const power = (line: number) => spectrum[2 * line] ** 2 + spectrum[2 * line + 1] ** 2;
  let alias = 0;
  for (let line = 1; line <= (20_000 * size) / sampleRate; line++) if (line % GRID !== 0) alias += power(line);
  return powerToDb(alias / lines.reduce((sum, line) => sum + power(line), 0));
}
