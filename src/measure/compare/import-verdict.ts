/** What an import check may find, and which of it is the verdict. */
import type { Hertz } from '../../dsp/units.ts';
import type { Comparison } from './compare-sounds.ts';
import type { Exactness } from './exactness.ts';
import type { Clipping } from './flat-tops.ts';
import type { StemFinding } from './stem-findings.ts';
import type { Stretch } from './strongest-stretch.ts';

/**
 * What a check may find; of several the first in this order is the verdict, and the sentences tell all of them.
 *
 * `silent`: nothing to compare. `unrelated`: not the same recording. `channels`: the sides stand otherwise (swapped, one
 * turned over, mono, one missing, out of balance). `length`: sound of one lies where the other has ended or not begun.
 * `stems`: single stems are missing, louder, softer, elsewhere, turned over. `clipped`: its peaks are cut off. `differs`:
 * other processing lies between. `close`: the same, but what is left is soft. `offset`: the same sound, but later, earlier,
 * louder, softer or upside down. `stands`: nothing to do.
 */
export const IMPORT_VERDICTS = [
  'silent',
  'unrelated',
  'channels',
  'length',
  'stems',
  'clipped',
  'differs',
  'close',
  'offset',
  'stands',
] as const;
export type ImportVerdict = (typeof IMPORT_VERDICTS)[number];

/** All that is known of a related pair, for the words. */
export interface Judged {
  readonly comparison: Comparison;
  /** Gain of the mixdown as most stems have it. */
  readonly gain: number;
  readonly exactness: Exactness;
  readonly stems: readonly StemFinding[];
  readonly clipped: Clipping | null;
  /** What is left, as a power against the mixdown's; 0 for nothing. */
  readonly share: number;
  readonly isRounding: boolean;
  /** One filter over the whole mix explains nearly all of it. */
  readonly isFilter: boolean;
  /** Where most of it lies, if it lies somewhere. */
  readonly stretch: Stretch | null;
  /** Third octaves in which most of it lies, if it lies somewhere. */
  readonly bands: { readonly from: Hertz; readonly to: Hertz } | null;
}

/** Below this what is left is never heard beside the mix: the sound is the same. */
const SAME = 1e-8;
/** Below this what is left is hardly heard beside it. */
const CLOSE = 1e-4;
const GAIN_DB = 0.05;
export function verdictOf({ comparison, gain, stems, clipped, share, isRounding: isExact }: Judged): ImportVerdict {
  const { channelMatch, balanceDb, outside, delaySamples, polarity } = comparison;
  if (channelMatch !== 'same' || balanceDb !== 0) return 'channels';
  if (outside && Object.values(outside).some((one) => one !== null)) return 'length';
  if (stems.length > 0) return 'stems';
  if (clipped) return 'clipped';
  if (!(isExact || share <= SAME)) return share <= CLOSE ? 'close' : 'differs';
  const isMoved = delaySamples !== 0 || polarity === 'inverted';
  return isMoved || Math.abs(20 * Math.log10(Math.abs(gain))) >= GAIN_DB ? 'offset' : 'stands';
}
