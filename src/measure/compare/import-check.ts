/** Whether a session stands as it left the engineer's host: its clean mix against their own mixdown. */

import { THIRD_OCTAVE_NAMES, thirdOctavePowers } from '../../dsp/third-octaves.ts';
import type { Hertz } from '../../dsp/units.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import { addedPercent } from '../added-share.ts';
import { unmapped } from './channel-match.ts';
import { commonBand } from './common-band.ts';
import type { Aligned, Comparison } from './compare-sounds.ts';
import { compareClosely } from './compare-sounds.ts';
import { exactness, isRounding } from './exactness.ts';
import type { Clipping } from './flat-tops.ts';
import { clipping, flatTops } from './flat-tops.ts';
import { fractionalDelay } from './fractional-delay.ts';
import { importSentences } from './import-sentences.ts';
import type { ImportVerdict, Judged } from './import-verdict.ts';
import { verdictOf } from './import-verdict.ts';
import { joinSameSounds } from './same-sounds.ts';
import type { StemFinding, StemFindings } from './stem-findings.ts';
import { stemFindings } from './stem-findings.ts';
import type { Stem } from './stem-fit.ts';
import { strongestStretch } from './strongest-stretch.ts';

export interface ImportCheck {
  readonly verdict: ImportVerdict;
  /** The verdict, what was found, and what to do, in sentences. */
  readonly sentences: readonly string[];
  /** Stems that stand otherwise in the mixdown, those that explain most first. */
  readonly stems: readonly StemFinding[];
  readonly clipped: Clipping | null;
  /** Of the mixdown; null for floats. */
  readonly bits: number | null;
  /** What is left once all that was named is as in the mixdown, dB against it; null for nothing, or where there is no such figure. */
  readonly unexplainedDb: number | null;
  /** A is the session's clean mix, B the mixdown. */
  readonly comparison: Comparison;
}

export interface SessionSound {
  readonly cleanMix: Planes;
  /** Every channel with sound. */
  readonly stems: readonly Stem[];
}

export interface Mixdown {
  /** At the session's rate. */
  readonly planes: Planes;
  /** Rate of the file. */
  readonly sampleRate: Hertz;
  /** As the file has them: what is resampled has no word length. */
  readonly original: Planes;
}

/** A filter over the whole mix must leave so much less than the stems do, and than there is. */
const FILTER = 0.1;

/**
 * Nulls the session's clean mix against the engineer's mixdown, fits every stem to what is left, and says in words how the
 * session stands. Yields now and then.
 */
export function* importCheck(session: SessionSound, mixdown: Mixdown, sampleRate: Hertz): Generator<void, ImportCheck> {
  const first = yield* compareClosely(session.cleanMix, mixdown.planes, sampleRate, mixdown.sampleRate);
  if (!first.aligned) {
    const verdict = first.comparison.related === null ? 'silent' : 'unrelated';
    const sentences = importSentences(verdict, first.comparison);
    return { verdict, sentences, ...NOTHING_FOUND, comparison: first.comparison };
  }
  let { comparison, aligned } = first;
  let found = yield* stemsOf(session, mixdown, aligned, sampleRate);
  if (found && found.findings.shift !== 0) {
    // One loud stem lay elsewhere and had passed for the whole.
    const again = yield* compareClosely(
      session.cleanMix,
      mixdown.planes,
      sampleRate,
      mixdown.sampleRate,
      aligned.whole + found.findings.shift,
    );
    if (again.aligned) {
      ({ comparison, aligned } = again);
      found = yield* stemsOf(session, mixdown, aligned, sampleRate);
    }
  }
  const judged = judge(comparison, aligned, session, mixdown, found);
  const verdict = verdictOf(judged);
  return {
    verdict,
    sentences: importSentences(verdict, comparison, judged),
    stems: judged.stems,
    clipped: judged.clipped,
    bits: judged.exactness.bits,
    unexplainedDb: judged.share > 0 ? 10 * Math.log10(judged.share) : null,
    comparison,
  };
}

const NOTHING_FOUND = { stems: [], clipped: null, bits: null, unexplainedDb: null } as const;

interface Found {
  /** Without any stem where one filter over the whole mix explains far more than they do. */
  readonly findings: StemFindings;
  readonly isFilter: boolean;
  readonly clipped: Clipping | null;
}

/** Stems and clips; null where nothing but rounding is left, or the sides can't be had back. */
function* stemsOf(
  { cleanMix, stems }: SessionSound,
  mixdown: Mixdown,
  aligned: Aligned,
  sampleRate: Hertz,
): Generator<void, Found | null> {
  const { whole, fraction, gain, from, to, channels, b } = aligned;
  if (aligned.left === 0 || stems.length === 0) return null;
  if (isRounding(aligned.left, aligned.leftBands, sampleRate, exactness(mixdown.original, stems, gain))) return null;
  const back = unmapped(channels);
  if (!back || to - from < 2) return null;
  const taken = back.from.map((side, i) => {
    const plane = b[Math.min(side, b.length - 1)].subarray(from + whole, to + whole);
    return back.times[i] === 1 ? plane : plane.map((x) => back.times[i] * x);
  });
  const planes = yield* fractionalDelay(taken, -fraction);
  const band = commonBand(sampleRate, mixdown.sampleRate);
  const flat = band ? null : flatTops(taken);
  const findings = yield* stemFindings(joinSameSounds(stems), { planes, from, left: flat, band }, gain, sampleRate);
  yield;
  const clipped = flat ? clipping(planes, findings.fit.model, flat, sampleRate, from + whole) : null;
  const mix = cleanMix.map((plane) => plane.subarray(from, to));
  const unexplained = ((yield* addedPercent(mix, planes)) ?? 100) / 100;
  const filterLeaves = unexplained ** 2 * aligned.power;
  const isFilter = clipped === null && filterLeaves < FILTER * findings.rest && filterLeaves < FILTER * aligned.left;
  return { findings: isFilter ? { ...findings, found: [] } : findings, isFilter, clipped };
}

function judge(
  comparison: Comparison,
  aligned: Aligned,
  { stems }: SessionSound,
  mixdown: Mixdown,
  found: Found | null,
): Judged {
  const { sampleRate } = comparison;
  const isNamed = found !== null && (found.findings.found.length > 0 || found.clipped !== null);
  const gain = isNamed ? found.findings.gain : aligned.gain;
  const limits = exactness(mixdown.original, stems, gain);
  const rest = isNamed ? found.findings.rest : aligned.left;
  const bands = isNamed ? thirdOctavePowers(found.findings.fit.rest, sampleRate) : aligned.leftBands;
  return {
    comparison,
    gain,
    exactness: limits,
    stems: found?.findings.found ?? [],
    clipped: found?.clipped ?? null,
    isFilter: found?.isFilter ?? false,
    share: aligned.power > 0 ? rest / aligned.power : 0,
    isRounding: isRounding(rest, bands, sampleRate, limits),
    stretch: found ? strongestStretch(found.findings.fit.rest, sampleRate, aligned.from + aligned.whole) : null,
    bands: strongestBands(bands, aligned.soundBands),
  };
}

/** A band whose rest comes within this of the strongest rest counts, dB; bands so far below the loudest aren't heard. */
const NEAR_DB = 6;
const HEARD = 1e-6;

/** Where what is left is strongest against the mixdown; null where that is all over the range. */
function strongestBands(left: ArrayLike<number>, sound: Float64Array): Judged['bands'] {
  const loudest = sound.reduce((most, power) => Math.max(most, power), 0);
  const shares = THIRD_OCTAVE_NAMES.map((hz, i) => ({
    hz,
    share: sound[i] > HEARD * loudest ? left[i] / sound[i] : 0,
  }));
  const most = Math.max(...shares.map(({ share }) => share));
  const named = shares.filter(({ share }) => share > 0 && share > most * 10 ** (-NEAR_DB / 10));
  if (named.length === 0 || named.length > shares.length / 2) return null;
  return { from: named[0].hz, to: named[named.length - 1].hz };
}
