import { isPeak, lineAt } from '../dsp/line-level.ts';
import type { PairSpectrum } from '../dsp/pair-spectrum.ts';
import type { Decibels } from '../dsp/units.ts';
import { powerToDb } from '../dsp/units.ts';
import { mainLobeBins } from '../dsp/windows.ts';
import type { StrongestTone } from '../stores/live-store.ts';

const LOWEST = 25;
const HIGHEST = 20000;
const MOST = 10;
/** A tone must stand this far above silence to be called one. */
const FLOOR_DBFS = -90;

export interface Part {
  readonly spectrum: PairSpectrum;
  /** Upper end of the range this spectrum is meant for, Hz. */
  readonly below: number;
}

/** How far a tone with its harmonics is alone. */
export interface Standing {
  /** The tone over the strongest line that is no harmonic of it. */
  readonly prominenceDb: Decibels;
  /** Everything that is no harmonic of it, together, against the tone with its harmonics. */
  readonly restDb: Decibels;
}

/** The strongest line of the coloured side and what stands at its multiples, each read as a line (`lineAt`). */
export function strongestTone(parts: readonly Part[]): StrongestTone | null {
  let best: { part: Part; bin: number } | null = null;
  for (const part of parts) {
    const power = part.spectrum.second;
    const [first, last] = binsOf(part, parts);
    for (let bin = first; bin <= last; bin++) {
      if ((best && power[bin] <= best.part.spectrum.second[best.bin]) || !isPeak(power, bin)) continue;
      best = { part, bin };
    }
  }
  if (!best) return null;
  const { options, second } = best.part.spectrum;
  const line = lineAt(second, best.bin, options.window);
  const dbfs = powerToDb(line.power);
  if (dbfs < FLOOR_DBFS) return null;
  const hz = line.bin * stepOf(best.part);
  const harmonics: { n: number; hz: number; dbc: number }[] = [];
  for (let n = 2; n <= MOST && n * hz < HIGHEST; n++) {
    const db = lineNear(parts, n * hz);
    if (db !== null) harmonics.push({ n, hz: n * hz, dbc: db - dbfs });
  }
  return { hz, dbfs, harmonics };
}

/**
 * How far a tone stands out of the coloured side. Where harmonics are too close together for the spectrum to tell what
 * lies between them, nothing is counted.
 */
export function standing(parts: readonly Part[], { hz, dbfs }: StrongestTone): Standing {
  let own = 0;
  let rest = 0;
  let strongest = 0;
  for (const part of parts) {
    const step = stepOf(part);
    const lobe = mainLobeBins(part.spectrum.options.window) + 1;
    if (hz < (2 * lobe + 2) * step) continue;
    const [first, last] = binsOf(part, parts);
    const power = part.spectrum.second;
    for (let bin = first; bin <= last; bin++) {
      const n = Math.max(1, Math.round((bin * step) / hz));
      if (Math.abs(bin - (n * hz) / step) <= lobe) own += power[bin];
      else {
        rest += power[bin];
        if (power[bin] > strongest) strongest = power[bin];
      }
    }
  }
  return { prominenceDb: dbfs - powerToDb(strongest), restDb: own > 0 ? powerToDb(rest / own) : Infinity };
}

/** First and last bin of the range that a part is meant for. */
function binsOf(part: Part, parts: readonly Part[]): [number, number] {
  const step = stepOf(part);
  const before = parts[parts.indexOf(part) - 1];
  const from = Math.max(LOWEST, before?.below ?? 0);
  const to = Math.min(part.below, HIGHEST, part.spectrum.options.sampleRate / 2 - 2 * step);
  return [Math.ceil(from / step), Math.ceil(to / step) - 1];
}

function stepOf({ spectrum }: Part): number {
  return spectrum.options.sampleRate / spectrum.options.size;
}

/** Level of the strongest line within two bins of a frequency, in the spectrum meant for it; null where there is nothing. */
function lineNear(parts: readonly Part[], hz: number): number | null {
  const part = parts.find(({ below }) => hz < below);
  if (!part) return null;
  const { second: power, options } = part.spectrum;
  const centre = Math.round(hz / stepOf(part));
  let most = centre;
  for (let bin = centre - 2; bin <= centre + 2; bin++) if (power[bin] > power[most]) most = bin;
  if (!(power[most] > 0)) return null;
  // A flank has no line of its own.
  return powerToDb(isPeak(power, most) ? lineAt(power, most, options.window).power : power[most]);
}
