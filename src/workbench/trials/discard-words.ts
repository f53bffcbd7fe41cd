import type { DiscardReason } from '../../blind/trial-record.ts';

/** Why a pair was taken out of the count, for the listener. */
export const DISCARD_WORDS: Record<DiscardReason, string> = {
  'tab-hidden': 'This page was out of sight, so the pair does not count. Another one takes its place.',
  'device-changed':
    'An audio device came or went, so the pair does not count. Check what you listen with; another pair takes its place.',
  'sound-interrupted': 'The sound was interrupted, so the pair does not count. Another one takes its place.',
  'not-matched': 'The pair was not matched in loudness, so it does not count. Another one takes its place.',
  'loop-silent': 'The loop was silent, so the pair does not count. Another one takes its place.',
  listener: 'The pair does not count. Another one takes its place.',
};
