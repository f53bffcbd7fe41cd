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
 * The strongest line of the coloured side, its frequency from the parabola through three bins in dB (error well below a
 * tenth of a bin for these windows), and what stands at its multiples.
 */
export function strongestTone(parts: readonly Part[]): StrongestTone | null {
  let best: { hz: number; power: number } | null = null;
  let from = LOWEST;
  for (const { spectrum, below } of parts) {
    const { size, sampleRate } = spectrum.options;
    const step = sampleRate / size;
    const to = Math.min(below, HIGHEST, sampleRate / 2 - 2 * step);
    for (let bin = Math.ceil(from / step); bin * step < to; bin++) {
      const power = spectrum.second[bin];
      if (best && power <= best.power) continue;
      if (power < spectrum.second[bin - 1] || power < spectrum.second[bin + 1]) continue;
      best = { hz: (bin + offset(spectrum.second, bin)) * step, power };
    }
    from = to;
  }
  if (!best || powerToDb(best.power) < FLOOR_DBFS) return null;
  const { hz, power } = best;
  const harmonics: { n: number; hz: number; dbc: number }[] = [];
  for (let n = 2; n <= MOST && n * hz < HIGHEST; n++) {
    const found = lineNear(parts, n * hz);
    if (found > 0) harmonics.push({ n, hz: n * hz, dbc: powerToDb(found / power) });
  }
  return { hz, dbfs: powerToDb(power), harmonics };
}

/** Largest power within two bins of a frequency, in the spectrum meant for it. */
function lineNear(parts: readonly Part[], hz: number): number {
  const part = parts.find(({ below }) => hz < below);
  if (!part) return 0;
  const { size, sampleRate } = part.spectrum.options;
  const bin = Math.round((hz * size) / sampleRate);
  let most = 0;
  for (let i = bin - 2; i <= bin + 2; i++) most = Math.max(most, part.spectrum.second[i] ?? 0);
  return most;
}

/** Where between the bins the peak lies, −½ to ½. */
function offset(power: Float64Array, bin: number): number {
  const [a, b, c] = [power[bin - 1], power[bin], power[bin + 1]].map((p) => Math.log(p + 1e-30));
  const bend = a - 2 * b + c;
  return bend < 0 ? Math.max(-0.5, Math.min(0.5, (0.5 * (a - c)) / bend)) : 0;
}
