/** Over which part of a session loudness is matched and figures are taken. */
import { clamp } from '../dsp/units.ts';
import type { Region, SessionDocument } from '../session/document.ts';

/** A session without a region is analysed over at most so much of its middle. */
export const LONGEST_REGION_SECONDS = 240;
/**
 * What the analysis may keep, bytes: every channel's sound and its rack's output, and in and out of eight buses, of the
 * mix and of the clean mix. With the session's own sound beside it a tab then holds 24 stereo files of five minutes.
 */
const MEMORY = 2.5e9;
const PLANES_BEHIND_CHANNELS = 44;

/** Sound of a session, as far as its match region depends on it. */
export interface SoundExtent {
  /** Of the longest channel. */
  readonly frames: number;
  /** Of all channels together. */
  readonly planes: number;
}

/** The most seconds that are analysed at once. */
export function longestRegionSeconds(planes: number, sampleRate: number): number {
  const bytesPerSecond = 4 * sampleRate * (2 * planes + PLANES_BEHIND_CHANNELS);
  return Math.floor(Math.min(LONGEST_REGION_SECONDS, MEMORY / bytesPerSecond));
}

/** What a document asks for, in frames: its match region, or the whole session. */
function askedRegion(
  { matchRegion, sampleRate }: Pick<SessionDocument, 'matchRegion' | 'sampleRate'>,
  frames: number,
): readonly [number, number] {
  const at = (seconds: number) => clamp(Math.round(seconds * sampleRate), 0, frames);
  const asked = matchRegion && ([at(matchRegion.startSeconds), at(matchRegion.endSeconds)] as const);
  return asked && asked[1] > asked[0] ? asked : [0, frames];
}

/** The match region in frames, start and end. Of what is longer than memory allows the middle is taken. */
export function matchRegionFrames(
  document: Pick<SessionDocument, 'matchRegion' | 'sampleRate'>,
  { frames, planes }: SoundExtent,
): readonly [number, number] {
  const [start, end] = askedRegion(document, frames);
  const longest = longestRegionSeconds(planes, document.sampleRate) * document.sampleRate;
  if (end - start <= longest) return [start, end];
  const from = Math.round((start + end - longest) / 2);
  return [from, from + longest];
}

/** The region that is matched where that is less than the document asks for; null where it is all of it. */
export function shortenedRegion(document: SessionDocument, extent: SoundExtent): Region | null {
  const asked = askedRegion(document, extent.frames);
  const [start, end] = matchRegionFrames(document, extent);
  if (start === asked[0] && end === asked[1]) return null;
  return { startSeconds: start / document.sampleRate, endSeconds: end / document.sampleRate };
}
