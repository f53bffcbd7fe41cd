import type { PairSpectrum } from '../dsp/pair-spectrum.ts';
import { powerToDb } from '../dsp/units.ts';
import type { StrongestTone } from './live-frame.ts';

const LOWEST = 25;
const HIGHEST = 20000;
const MOST = 10;
/** A tone must stand this far above silence to be called one. */
const FLOOR_DBFS = -90;

interface Part {
  readonly spectrum: PairSpectrum;
  /** Upper end of the range this spectrum is meant for, Hz. */
  readonly below: number;
}

/**
 * The strongest line of the coloured side and what stands at its multiples. Frequency and level come from the parabola
 * through three bins in dB, which undoes most of what the window loses between bins.
 */
export function strongestTone(parts: readonly Part[]): StrongestTone | null {
  let best: { power: Float64Array; bin: number; step: number } | null = null;
  let from = LOWEST;
  for (const { spectrum, below } of parts) {
    const { size, sampleRate } = spectrum.options;
    const power = spectrum.second;
    const step = sampleRate / size;
    const to = Math.min(below, HIGHEST, sampleRate / 2 - 2 * step);
    for (let bin = Math.ceil(from / step); bin * step < to; bin++) {
      if (best && power[bin] <= best.power[best.bin]) continue;
      if (power[bin] >= power[bin - 1] && power[bin] >= power[bin + 1]) best = { power, bin, step };
    }
    from = to;
  }
  if (!best) return null;
  const peak = vertex(best.power, best.bin);
  if (peak.db < FLOOR_DBFS) return null;
  const hz = peak.bin * best.step;
  const harmonics: { n: number; hz: number; dbc: number }[] = [];
  for (let n = 2; n <= MOST && n * hz < HIGHEST; n++) {
    const db = lineNear(parts, n * hz);
    if (db !== null) harmonics.push({ n, hz: n * hz, dbc: db - peak.db });
  }
  return { hz, dbfs: peak.db, harmonics };
}

/** Level of the strongest bin within two of a frequency, in the spectrum meant for it; null where there is nothing. */
function lineNear(parts: readonly Part[], hz: number): number | null {
  const part = parts.find(({ below }) => hz < below);
  if (!part) return null;
  const { size, sampleRate } = part.spectrum.options;
  const power = part.spectrum.second;
  const centre = Math.round((hz * size) / sampleRate);
  let most = centre;
  for (let bin = centre - 2; bin <= centre + 2; bin++) if (power[bin] > power[most]) most = bin;
  return power[most] > 0 ? vertex(power, most).db : null;
}

/** Top of the parabola through a bin and its neighbours, in dB. */
function vertex(power: Float64Array, bin: number): { bin: number; db: number } {
  const [a, b, c] = [power[bin - 1], power[bin], power[bin + 1]].map((p) => powerToDb(p + 1e-30));
  const bend = a - 2 * b + c;
  // A flank or a flat has no top of its own.
  if (!(bend < 0) || a > b || c > b) return { bin, db: b };
  const shift = (0.5 * (a - c)) / bend;
  return { bin: bin + shift, db: b - 0.25 * (a - c) * shift };
}
