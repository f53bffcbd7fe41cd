/** Whether a session stands as it left the engineer's host: its clean mix against their own mixdown. */
import type { Planes } from '../rack-renderer.ts';
import { type ComparedBand, type Comparison, compareSounds } from './compare-sounds.ts';

/**
 * `stands`: nothing to do. `offset`: the same sound, but later, earlier, louder, softer or upside down. `close`: what is
 * left is soft. `differs`: other processing lies between, or other files. `silent`: nothing to compare.
 */
export type ImportVerdict = 'stands' | 'offset' | 'close' | 'differs' | 'silent';

export interface ImportCheck {
  readonly verdict: ImportVerdict;
  /** The verdict, what was found, and what to do, in sentences. */
  readonly sentences: readonly string[];
  /** A is the session's clean mix, B the mixdown. */
  readonly comparison: Comparison;
}

/** Below this what is left is rounding or dither of 16 bits: the sound is the same. */
const SAME_DB = -80;
/** Below this what is left is hardly heard beside the mix. */
const CLOSE_DB = -40;
const GAIN_DB = 0.05;
/** A band whose rest comes within this of the strongest rest is named. */
const NAMED_DB = 6;

/**
 * Nulls the session's clean mix against the engineer's mixdown and says in words how the session stands. Channels,
 * buses and mix can only null where no other processing lies between them, which the words say.
 */
export function* importCheck(cleanMix: Planes, mixdown: Planes, sampleRate: number): Generator<void, ImportCheck> {
  const comparison = yield* compareSounds(cleanMix, mixdown, sampleRate);
  return { comparison, ...judged(comparison) };
}

function judged(comparison: Comparison): Pick<ImportCheck, 'verdict' | 'sentences'> {
  const { residualDb, gainDb, identical, delaySamples } = comparison;
  if (delaySamples === null || gainDb === null) {
    return {
      verdict: 'silent',
      sentences: ['One of the two is silent, so there is nothing to compare. Choose another file.'],
    };
  }
  const offsets = offsetSentences(comparison);
  const rest = residualDb ?? (identical ? Number.NEGATIVE_INFINITY : 0);
  const left = identical ? 'nothing at all is left' : `what is left lies ${figure(-rest)} dB below the mixdown`;
  if (rest <= SAME_DB) {
    return offsets.length === 0
      ? { verdict: 'stands', sentences: [`The session stands as it left your host: ${left}.`] }
      : { verdict: 'offset', sentences: [`The session is the same sound as your mixdown: ${left}.`, ...offsets] };
  }
  const where = strongestBands(comparison.bands);
  if (rest <= CLOSE_DB) {
    return {
      verdict: 'close',
      sentences: [`The session is close to your mixdown: ${left}${where}.`, ...offsets, PROCESSING],
    };
  }
  return {
    verdict: 'differs',
    sentences: [`The session is not what your mixdown holds: ${left}${where}.`, ...offsets, PROCESSING, CHECK_LEVELS],
  };
}

const PROCESSING =
  'Processing between channel, bus and mix in your host is not in the stems: bring the bus in as a print, or export without it to compare.';
const CHECK_LEVELS =
  'Check gains, pans and routing here against your host, and that no file is missing or of another take.';

function offsetSentences({ delaySamples, delaySeconds, gainDb, polarity }: Comparison): string[] {
  const sentences: string[] = [];
  if (delaySamples !== null && delaySamples !== 0 && delaySeconds !== null) {
    const size = Math.abs(delaySamples);
    const samples = Number.isInteger(size) ? `${size} sample${size === 1 ? '' : 's'}` : `${size.toFixed(3)} samples`;
    sentences.push(
      `Your mixdown is ${samples} (${(1000 * Math.abs(delaySeconds)).toFixed(2)} ms) ${delaySamples > 0 ? 'later' : 'earlier'} than the session.`,
    );
  }
  if (gainDb !== null && Math.abs(gainDb) >= GAIN_DB) {
    sentences.push(
      `Your mixdown is ${figure(Math.abs(gainDb), 2)} dB ${gainDb > 0 ? 'louder' : 'softer'} than the session.`,
    );
  }
  if (polarity === 'inverted') sentences.push('Your mixdown has the opposite polarity.');
  return sentences;
}

/** ", most of it at 80 Hz to 125 Hz" from the bands where the rest is strongest against the mixdown. */
function strongestBands(bands: readonly ComparedBand[]): string {
  const known = bands.filter(({ residualDb }) => residualDb !== null);
  const most = Math.max(...known.map(({ residualDb }) => residualDb as number));
  const named = known.filter(({ residualDb }) => (residualDb as number) > most - NAMED_DB);
  // All over the range is no place.
  if (named.length === 0 || named.length > bands.length / 2) return '';
  const [first, last] = [named[0].hz, named[named.length - 1].hz];
  return `, most of all ${first === last ? `at ${hertz(first)}` : `from ${hertz(first)} to ${hertz(last)}`}`;
}

function hertz(hz: number): string {
  return hz < 1000 ? `${hz} Hz` : `${hz / 1000} kHz`;
}

function figure(value: number, digits = 1): string {
  return value.toFixed(digits).replace('-', '−');
}
