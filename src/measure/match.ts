/**
 * The loudness match: computed, never chased. A rack's gain brings the BS.1770-5 loudness of its output to that of its
 * input, each with its own gates, so that any loudness meter confirms it; the last gain does the same for the coloured
 * mix against the clean one. (Matching energies over the input's gated blocks alone was tried: where a stage lifts
 * quiet blocks over the gate it leaves up to 0.3 LU by the standard.)
 */
import type { Lufs } from '../dsp/loudness.ts';
import { blockEnergies, gatedLoudness, loudnessSeries } from '../dsp/loudness.ts';
import { orNull } from '../dsp/units.ts';
import type { Planes } from '../render/rack-renderer.ts';
import type { MatchFigures } from './figures.ts';
import { MATCH_TOLERANCE_LU } from './figures.ts';

/** What of the reference a match needs; taken once per input. */
export interface MatchReference {
  readonly energies: Float64Array;
  readonly shortTerm: Float64Array;
  readonly loudness: Lufs;
}

/** Tenths of a second from one short-term window to the next. */
const SHORT_TERM_HOPS = 5;
/** Short-term loudness this far below the whole says nothing about the match. */
const SHORT_TERM_GATE_LU = 20;

export function matchReference(planes: Planes, sampleRate: number): MatchReference {
  const { blocks, shortTerm } = loudnessSeries(planes, sampleRate, SHORT_TERM_HOPS);
  return { energies: blocks, shortTerm, loudness: gatedLoudness(blocks) };
}

/** The exact match of a rendered output to its reference; see `matchBetween`. */
export function exactMatch(reference: MatchReference, output: Planes, sampleRate: number): MatchFigures | null {
  return matchBetween(reference, matchReference(output, sampleRate));
}

/**
 * The gain that brings `after` to the loudness of `before`, with what one static gain leaves over. Null where either is
 * silent. The gates move with the signal (the relative one exactly, the absolute one by the gain), so the gain is found
 * again with the gained energies until it stays, which takes one or two rounds.
 * @param trimDb by hand: the gain then aims so much above
 */
export function matchBetween(before: MatchReference, after: MatchReference, trimDb = 0): MatchFigures | null {
  const aim = before.loudness + trimDb;
  let gainDb = aim - after.loudness;
  if (!Number.isFinite(gainDb)) return null;
  let residual = loudnessAfter(after.energies, gainDb) - aim;
  for (let round = 0; round < 4 && Math.abs(residual) > 1e-6; round++) {
    gainDb -= residual;
    residual = loudnessAfter(after.energies, gainDb) - aim;
  }
  return describe(before, after, gainDb, residual);
}

function loudnessAfter(energies: Float64Array, gainDb: number): Lufs {
  const power = 10 ** (gainDb / 10);
  return gatedLoudness(energies.map((energy) => energy * power));
}

function describe(before: MatchReference, after: MatchReference, gainDb: number, residualLu: number): MatchFigures {
  const differences: number[] = [];
  for (let i = 0; i < after.shortTerm.length; i++) {
    if (before.shortTerm[i] > before.loudness - SHORT_TERM_GATE_LU) {
      differences.push(after.shortTerm[i] + gainDb - before.shortTerm[i]);
    }
  }
  differences.sort((a, b) => a - b);
  return {
    gainDb,
    residualLu,
    matched: Math.abs(residualLu) <= MATCH_TOLERANCE_LU,
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

const SPAN_LEAD_SECONDS = 0.3;

/** Frames before a span that filters get to settle in; `settle`: what the rack's circuits need beyond them, seconds. */
export function spanLead(from: number, sampleRate: number, settle = 0): number {
  return Math.min(from, Math.round((SPAN_LEAD_SECONDS + settle) * sampleRate));
}

/** Match gain over one span of both signals, whole blocks only, dB; the K-filter gets the time before it to settle. */
export function spanMatch(
  input: Planes,
  output: Planes,
  [from, to]: readonly [number, number],
  sampleRate: number,
): number | null {
  const lead = spanLead(from, sampleRate);
  const energy = (planes: Planes) => {
    const blocks = blockEnergies(
      planes.map((plane) => plane.subarray(from - lead, to)),
      sampleRate,
    );
    return blocks.subarray(Math.min(blocks.length, Math.round(lead / sampleRate / 0.1))).reduce((a, b) => a + b, 0);
  };
  const before = energy(input);
  const after = energy(output);
  return before > 0 && after > 0 ? orNull(10 * Math.log10(before / after)) : null;
}
