/** The stretch of the session that is heard in trials. */

import { clamp } from '../../dsp/units.ts';
import { LONGEST_TRIAL_LOOP, SHORTEST_TRIAL_LOOP } from '../../measure/trial/trial-loop.ts';
import type { Region } from '../../session/document.ts';

/** Length where the session's own loop doesn't suit, s. */
const USUAL = 10;

/** The session's loop where it is as long as trials need; otherwise a stretch from where it starts. */
export function usualLoop(loop: Region | null, durationSeconds: number): Region {
  const length = loop ? loop.endSeconds - loop.startSeconds : 0;
  const suits = length >= SHORTEST_TRIAL_LOOP && length <= LONGEST_TRIAL_LOOP;
  return loopWithin(loop?.startSeconds ?? 0, suits ? length : USUAL, durationSeconds);
}

/** As near to what is asked for as the session's length and that of trials allow; shorter only where the session is. */
export function loopWithin(startSeconds: number, lengthSeconds: number, durationSeconds: number): Region {
  const asked = Number.isFinite(lengthSeconds) ? lengthSeconds : USUAL;
  const length = Math.min(clamp(asked, SHORTEST_TRIAL_LOOP, LONGEST_TRIAL_LOOP), durationSeconds);
  const start = clamp(Number.isFinite(startSeconds) ? startSeconds : 0, 0, durationSeconds - length);
  return { startSeconds: start, endSeconds: start + length };
}
