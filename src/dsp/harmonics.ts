/** Harmonics and aliases of a coherent test tone: a plain DFT in double precision, without a window. */
import FFT from 'fft.js';
import type { Decibels, Hertz } from './units.ts';
import { gainToDb, orNull, powerToDb } from './units.ts';

export interface Harmonic {
  /** Order; 2 is twice the fundamental. */
  readonly n: number;
  /** Level over the fundamental's; null from half the sample rate on, or if there is nothing at all. */
  readonly dbc: Decibels | null;
  /**
   * Phase φn − n·φ1 with sine phases, −180 < φ ≤ 180: independent of where the tone starts. A memoryless curve gives
   * 0 or 180 in odd orders, ±90 in even ones. Null where `dbc` is.
   */
  readonly phaseDeg: number | null;
}

export interface HarmonicAnalysis {
  /** Peak level of the fundamental; null if there is none. */
  readonly fundamentalDbfs: Decibels | null;
  /** Peak amplitude of the fundamental. */
  readonly fundamentalAmplitude: number;
  /** Orders 2 to `maxOrder`. */
  readonly harmonics: readonly Harmonic[];
  /** √(Σ harmonics²) / fundamental, as a ratio; null without a fundamental. */
  readonly thdF: number | null;
  /** √(Σ harmonics²) / √(fundamental² + Σ harmonics²), as a ratio; below THD_F, and never above 1. */
  readonly thdR: number | null;
  /** Mean, signed. */
  readonly dc: number;
  /** Power sum of all lines inside the band that aren't harmonics of any order, over the fundamental; null if none. */
  readonly aliasDbc: Decibels | null;
}

export interface Band {
  readonly low: Hertz;
  readonly high: Hertz;
}

/** Where aliases are heard. */
const AUDIBLE: Band = { low: 20, high: 20_000 };

/**
 * Analyses `x`, which must hold a whole number of periods of `f0` (see `snapFrequency`). Everything between the
 * harmonics is then alias or noise; rounding alone stays below −280 dBc.
 * @param x a power of two of samples, full scale ±1
 * @param band range of the alias figure; default 20 Hz to 20 kHz
 * @throws RangeError if the length isn't a power of two or f0 isn't on a bin above DC and below half the rate
 */
export function analyseHarmonics(
  x: Float64Array | Float32Array,
  sampleRate: Hertz,
  f0: Hertz,
  maxOrder: number,
  band: Band = AUDIBLE,
): HarmonicAnalysis {
  const size = x.length;
  const step = fundamentalBin(size, sampleRate, f0);
  const spectrum = new Float64Array(2 * size);
  new FFT(size).realTransform(spectrum, x);
  const fundamental = lineOf(spectrum, size, step);
  const harmonics: Harmonic[] = [];
  let distortion = 0;
  for (let n = 2; n <= maxOrder; n++) {
    const line = n * step < size / 2 ? lineOf(spectrum, size, n * step) : NO_LINE;
    distortion += line.amplitude ** 2;
    harmonics.push(harmonic(n, line, fundamental));
  }
  const power = fundamental.amplitude ** 2;
  return {
    fundamentalDbfs: orNull(gainToDb(fundamental.amplitude)),
    fundamentalAmplitude: fundamental.amplitude,
    harmonics,
    thdF: power > 0 ? Math.sqrt(distortion / power) : null,
    thdR: power > 0 ? Math.sqrt(distortion / (power + distortion)) : null,
    dc: spectrum[0] / size,
    aliasDbc: power > 0 ? orNull(powerToDb(betweenHarmonics(spectrum, size, step, sampleRate, band) / power)) : null,
  };
}

/** A spectral line as amplitude·sin(2πft + phase). */
export interface Phasor {
  /** Peak amplitude. */
  readonly amplitude: number;
  /** Radians. */
  readonly phase: number;
}

const NO_LINE: Phasor = { amplitude: 0, phase: 0 };

/**
 * One line of a signal of any length that holds whole periods of all its tones, by direct summation. For sidebands and
 * difference tones, which `analyseHarmonics` doesn't list.
 */
export function spectralLine(x: Float64Array | Float32Array, sampleRate: Hertz, frequency: Hertz): Phasor {
  let re = 0;
  let im = 0;
  for (let i = 0; i < x.length; i++) {
    const angle = (2 * Math.PI * ((frequency * i) % sampleRate)) / sampleRate;
    re += x[i] * Math.cos(angle);
    im -= x[i] * Math.sin(angle);
  }
  const scale = frequency === 0 || 2 * frequency === sampleRate ? 1 : 2;
  return { amplitude: (scale * Math.hypot(re, im)) / x.length, phase: Math.atan2(re, -im) };
}

function fundamentalBin(size: number, sampleRate: Hertz, f0: Hertz): number {
  if (size < 8 || !Number.isInteger(Math.log2(size))) {
    throw new RangeError(`Harmonics need a power of two of at least 8 samples, not ${size}.`);
  }
  const bin = Math.round((f0 * size) / sampleRate);
  if (!(bin >= 1 && bin < size / 2 && Math.abs((f0 * size) / sampleRate - bin) < 1e-6)) {
    throw new RangeError(`${size} samples at ${sampleRate} Hz don't hold whole periods of ${f0} Hz.`);
  }
  return bin;
}

/** A·sin(ωt + φ) puts (A·size/2)·e^(j(φ − π/2)) on its bin. */
function lineOf(spectrum: Float64Array, size: number, bin: number): Phasor {
  const re = spectrum[2 * bin];
  const im = spectrum[2 * bin + 1];
  return { amplitude: (2 * Math.hypot(re, im)) / size, phase: Math.atan2(re, -im) };
}

function harmonic(n: number, line: Phasor, fundamental: Phasor): Harmonic {
  const dbc = orNull(gainToDb(line.amplitude / fundamental.amplitude));
  if (dbc === null) return { n, dbc: null, phaseDeg: null };
  const degrees = ((line.phase - n * fundamental.phase) * 180) / Math.PI;
  return { n, dbc, phaseDeg: degrees - 360 * Math.ceil((degrees - 180) / 360) };
}

/** Sum of squared amplitudes of the band's lines that stand on no multiple of the fundamental's bin. */
function betweenHarmonics(spectrum: Float64Array, size: number, step: number, sampleRate: Hertz, band: Band): number {
  const first = Math.max(1, Math.ceil((band.low * size) / sampleRate));
  const last = Math.min(size / 2 - 1, Math.floor((band.high * size) / sampleRate));
  let sum = 0;
  for (let bin = first; bin <= last; bin++) {
    if (bin % step !== 0) sum += lineOf(spectrum, size, bin).amplitude ** 2;
  }
  return sum;
}
