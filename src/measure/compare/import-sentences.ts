/** What an import check found, in words. */
import type { ChannelMatch } from './channel-match.ts';
import type { Comparison } from './compare-sounds.ts';
import { RELATED } from './compare-sounds.ts';
import type { Clipping } from './flat-tops.ts';
import type { ImportVerdict, Judged } from './import-verdict.ts';
import type { Outside } from './outside.ts';
import type { StemFinding } from './stem-findings.ts';
import type { Stretch } from './strongest-stretch.ts';

const PROCESSING =
  'Processing between channel, bus and mix in your host is not in the stems: bring the bus in as a print, or export without it to compare.';
const ONE_FILTER =
  'One filter over the whole mix explains nearly all of it: an equaliser on your mix, most likely. Export without it to compare.';
const CHECK_LEVELS =
  'Check gains, pans and routing here against your host, and that no file is missing or of another take.';
const GAIN_DB = 0.05;
/** Sums of 32 bit floats may leave this, as a power: −120 dB. */
const ROUNDING = 1e-12;
/** Stems beyond these are only counted. */
const MOST_STEMS = 8;

const CHANNELS: Readonly<Record<Exclude<ChannelMatch, 'same'>, string>> = {
  swapped: 'Left and right are swapped in your mixdown.',
  'left-inverted': 'The left side of your mixdown has the opposite polarity, and the right one has not.',
  'right-inverted': 'The right side of your mixdown has the opposite polarity, and the left one has not.',
  'swapped-left-inverted': 'Left and right are swapped in your mixdown, and its left side has the opposite polarity.',
  'swapped-right-inverted': 'Left and right are swapped in your mixdown, and its right side has the opposite polarity.',
  mono: 'Your mixdown is mono: both its sides are the sum of the session’s.',
  'left-on-both': 'Both sides of your mixdown are the session’s left one.',
  'right-on-both': 'Both sides of your mixdown are the session’s right one.',
  'left-missing': 'The left side of your mixdown is silent.',
  'right-missing': 'The right side of your mixdown is silent.',
};

/** @param judged of recordings that are related */
export function importSentences(verdict: ImportVerdict, comparison: Comparison, judged?: Judged): string[] {
  if (!judged) {
    return verdict === 'silent'
      ? ['One of the two is silent, so there is nothing to compare. Choose another file.']
      : [
          `Your mixdown is not the same recording as the session: wherever it is laid, their correlation is at most ${figure(comparison.correlation ?? 0, 2)}, and below ${RELATED} nothing is told of delay or gain.`,
          'Choose the mixdown that your host made of these files, and look whether files here are of another take.',
        ];
  }
  const { share, stems, clipped, bands, stretch } = judged;
  const left = leftText(judged);
  const named = [
    ...channelSentences(comparison),
    ...outsideSentences(comparison),
    ...stemSentences(stems),
    ...(clipped ? [clippedSentence(clipped)] : []),
  ];
  const where = isSoft(judged) ? '' : whereText(bands, stretch);
  const processing = share > 1e-4 ? [PROCESSING] : [];
  const offsets = offsetSentences(comparison, judged.gain);
  const limit =
    comparison.bandHz === null
      ? []
      : [
          `Both were compared up to ${(comparison.bandHz / 1000).toFixed(1)} kHz, since the rates differ and every resampler has its own edge.`,
        ];
  if (named.length > 0) {
    return [...named, `Apart from that, ${left}${where}.`, ...(isSoft(judged) ? [] : processing), ...offsets, ...limit];
  }
  const head = {
    stands: [`The session stands as it left your host: ${left}.`],
    offset: [`The session is the same sound as your mixdown: ${left}.`],
    close: [`The session is close to your mixdown: ${left}${where}.`],
  }[verdict as string] ?? [`The session is not what your mixdown holds: ${left}${where}.`];
  const after =
    {
      close: [judged.isFilter ? ONE_FILTER : PROCESSING],
      differs: judged.isFilter ? [ONE_FILTER] : [PROCESSING, CHECK_LEVELS],
    }[verdict as string] ?? [];
  return [...head, ...offsets, ...after, ...limit];
}

function isSoft({ isRounding, share }: Judged): boolean {
  return isRounding || share <= 1e-8;
}

function leftText({ share, isRounding, exactness }: Judged): string {
  if (share === 0) return 'nothing at all is left';
  if (!isRounding && share < ROUNDING) return 'nothing but rounding is left';
  const text = `what is left lies ${figure(-10 * Math.log10(share))} dB below the mixdown`;
  return isRounding && exactness.bits !== null ? `${text}, as exact as ${exactness.bits} bit allows` : text;
}

function channelSentences({ channelMatch, balanceDb }: Comparison): string[] {
  const sentences = channelMatch === null || channelMatch === 'same' ? [] : [CHANNELS[channelMatch]];
  if (balanceDb) {
    const [louder, softer] = balanceDb > 0 ? ['right', 'left'] : ['left', 'right'];
    sentences.push(
      `The ${louder} side of your mixdown is ${figure(Math.abs(balanceDb), 2)} dB louder against the ${softer} one than in the session.`,
    );
  }
  return sentences;
}

function outsideSentences({ outside }: Comparison): string[] {
  if (!outside) return [];
  const { beforeA, afterA, beforeB, afterB } = outside satisfies Outside;
  const of = (seconds: number) => `${figure(seconds, seconds < 10 ? 2 : 1)} s`;
  return [
    ...(beforeA
      ? [`Your mixdown begins ${of(beforeA.seconds)} late: what the session plays before is not in it.`]
      : []),
    ...(afterA ? [`Your mixdown ends ${of(afterA.seconds)} early: what the session plays behind is not in it.`] : []),
    ...(beforeB
      ? [
          `Your mixdown holds ${of(beforeB.seconds)} of sound before the session begins, up to ${figure(beforeB.peakDbfs)} dBFS.`,
        ]
      : []),
    ...(afterB
      ? [
          `Your mixdown holds ${of(afterB.seconds)} of sound behind the session's end, up to ${figure(afterB.peakDbfs)} dBFS.`,
        ]
      : []),
  ];
}

function stemSentences(stems: readonly StemFinding[]): string[] {
  const sentences = stems.slice(0, MOST_STEMS).map(stemSentence);
  const more = stems.length - MOST_STEMS;
  if (more > 0) sentences.push(`${more} more stem${more === 1 ? ' stands' : 's stand'} otherwise.`);
  return sentences;
}

/** "Bass is 441 samples (9.19 ms) late and 3.0 dB low in your mixdown." */
export function stemSentence({ name, differences, levelDb, delaySamples, delaySeconds }: StemFinding): string {
  const samples = Math.abs(delaySamples);
  const time = `${samples} sample${samples === 1 ? '' : 's'} (${(1000 * Math.abs(delaySeconds)).toFixed(2)} ms)`;
  const level = `${figure(Math.abs(levelDb ?? 0))} dB`;
  const is: Readonly<Record<StemFinding['differences'][number], string>> = {
    missing: 'missing',
    low: `${level} low`,
    high: `${level} high`,
    twice: `there twice (+${level})`,
    inverted: 'of opposite polarity',
    late: `${time} late`,
    early: `${time} early`,
    'further-left': 'further left',
    'further-right': 'further right',
    filtered: 'of another tone',
    'muted-here': 'muted here, but sounds',
  };
  const words = differences.map((one) => is[one]);
  const list = words.length === 1 ? words[0] : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
  return `${name} is ${list} in your mixdown.`;
}

function clippedSentence({ frames, places, firstSeconds, peakDbfs, overDb }: Clipping): string {
  const more = places === 1 ? '' : places === 2 ? ' and at one more place' : ` and at ${places - 1} more places`;
  return `Your mixdown is clipped at ${clock(firstSeconds)}${more}: ${frames} samples lie flat at its peak of ${figure(peakDbfs)} dBFS, and the session goes up to ${figure(overDb)} dB beyond.`;
}

function offsetSentences({ delaySamples, delaySeconds, polarity }: Comparison, gain: number): string[] {
  const sentences: string[] = [];
  if (delaySamples !== null && delaySamples !== 0 && delaySeconds !== null) {
    const size = Math.abs(delaySamples);
    const samples = Number.isInteger(size) ? `${size} sample${size === 1 ? '' : 's'}` : `${size.toFixed(3)} samples`;
    sentences.push(
      `Your mixdown is ${samples} (${(1000 * Math.abs(delaySeconds)).toFixed(2)} ms) ${delaySamples > 0 ? 'later' : 'earlier'} than the session.`,
    );
  }
  const gainDb = 20 * Math.log10(Math.max(1e-9, Math.abs(gain)));
  if (Math.abs(gainDb) >= GAIN_DB) {
    sentences.push(
      `Your mixdown is ${figure(Math.abs(gainDb), 2)} dB ${gainDb > 0 ? 'louder' : 'softer'} than the session.`,
    );
  }
  if (polarity === 'inverted') sentences.push('Your mixdown has the opposite polarity.');
  return sentences;
}

/** ", most of all from 80 Hz to 125 Hz, and around 0:12". */
function whereText(bands: Judged['bands'], stretch: Stretch | null): string {
  const places: string[] = [];
  if (bands) {
    const [from, to] = [hertz(bands.from), hertz(bands.to)];
    places.push(from === to ? `at ${from}` : `from ${from} to ${to}`);
  }
  if (stretch) {
    const [from, to] = [clock(stretch.fromSeconds), clock(stretch.toSeconds)];
    places.push(from === to ? `around ${from}` : `between ${from} and ${to}`);
  }
  return places.length === 0 ? '' : `, most of all ${places.join(', ')}`;
}

/** "0:12", as a host's clock has it. */
function clock(seconds: number): string {
  const whole = Math.max(0, Math.floor(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}`;
}

function hertz(hz: number): string {
  return hz < 1000 ? `${hz} Hz` : `${hz / 1000} kHz`;
}

function figure(value: number, digits = 1): string {
  return value.toFixed(digits).replace('-', '−');
}
