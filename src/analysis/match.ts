/**
 * The loudness match: computed, never chased. A rack's gain brings the K-weighted energy of its output, over the blocks
 * that pass the gates on its input, to that of its input. The last gain brings the coloured mix to the clean one by
 * full BS.1770-5 loudness, each with its own gates.
 */
import type { Lufs } from '../dsp/loudness.ts';
import { blockEnergies, gatedLoudness, gateMask, shortTermSeries } from '../dsp/loudness.ts';
import { powerToDb } from '../dsp/units.ts';
import type { MatchFigures } from './figures.ts';
import type { Planes } from './rack-renderer.ts';

/** What of the reference a match needs; taken once per input. */
export interface MatchReference {
  readonly energies: Float64Array;
  readonly mask: Uint8Array;
  readonly shortTerm: Float64Array;
  readonly loudness: Lufs;
}

const SHORT_TERM_HOP = 0.5;
/** Short-term loudness this far below the whole says nothing about the match. */
const SHORT_TERM_GATE_LU = 20;

export function matchReference(planes: Planes, sampleRate: number): MatchReference {
  const energies = blockEnergies(planes, sampleRate);
  const mask = gateMask(energies);
  return {
    energies,
    mask,
    shortTerm: shortTermSeries(planes, sampleRate, SHORT_TERM_HOP),
    loudness: gatedLoudness(energies, mask),
  };
}

/** Gain in dB that matches `output` to the reference over the reference's gated blocks; null where either is silent. */
export function matchGainDb(reference: MatchReference, output: Float64Array): number | null {
  let before = 0;
  let after = 0;
  for (let i = 0; i < output.length; i++) {
    if (!reference.mask[i]) continue;
    before += reference.energies[i];
    after += output[i];
  }
  return before > 0 && after > 0 ? powerToDb(before / after) : null;
}

/** The exact match of a rendered output, with what one static gain leaves over. Null where there is nothing to match. */
export function exactMatch(reference: MatchReference, output: Planes, sampleRate: number): MatchFigures | null {
  const after = matchReference(output, sampleRate);
  const gainDb = matchGainDb(reference, after.energies);
  return gainDb === null ? null : describe(reference, after, gainDb);
}

/** The last gain: BS.1770-5 loudness of side A less that of side B. */
export function outputMatch(clean: MatchReference, coloured: Planes, sampleRate: number): MatchFigures | null {
  const after = matchReference(coloured, sampleRate);
  const gainDb = clean.loudness - after.loudness;
  return Number.isFinite(gainDb) ? describe(clean, after, gainDb) : null;
}

function describe(before: MatchReference, after: MatchReference, gainDb: number): MatchFigures {
  const differences: number[] = [];
  for (let i = 0; i < after.shortTerm.length; i++) {
    if (before.shortTerm[i] > before.loudness - SHORT_TERM_GATE_LU) {
      differences.push(after.shortTerm[i] + gainDb - before.shortTerm[i]);
    }
  }
  differences.sort((a, b) => a - b);
  return {
    gainDb,
    residualLu: after.loudness + gainDb - before.loudness,
    quality: 'exact',
    errorLu: null,
    spreadLowLu: percentile(differences, 0.05),
    spreadHighLu: percentile(differences, 0.95),
  };
}

/** Value at share `p` of an ascending list, nearest rank; null of an empty one or where it isn't finite. */
function percentile(sorted: readonly number[], p: number): number | null {
  const value = sorted[Math.round(p * (sorted.length - 1))];
  return value !== undefined && Number.isFinite(value) ? value : null;
}

/**
 * Where a provisional match listens: the `seconds` with the most K-weighted energy. Frames of start and end; the whole
 * when it is shorter.
 */
export function loudestSpan(energies: Float64Array, sampleRate: number, frames: number, seconds = 3): [number, number] {
  const span = Math.round(seconds * sampleRate);
  if (frames <= span) return [0, frames];
  const blocks = Math.round(seconds / 0.1);
  let best = 0;
  let most = -1;
  let sum = 0;
  for (let i = 0; i < energies.length; i++) {
    sum += energies[i] - (i >= blocks ? energies[i - blocks] : 0);
    if (i >= blocks - 1 && sum > most) {
      most = sum;
      best = i - blocks + 1;
    }
  }
  const start = Math.min(frames - span, Math.round(best * 0.1 * sampleRate));
  return [start, start + span];
}
