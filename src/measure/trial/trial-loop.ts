/** The stretch of a session that a blind trial repeats, and the sound around it that lets it repeat without a seam. */
import type { Seconds } from '../../dsp/units.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import { sliced } from '../../render/sums.ts';
import type { Region } from '../../session/document.ts';
import { LIMITS } from '../../session/document.ts';
import { TrialError } from './trial-set.ts';

export const [SHORTEST_TRIAL_LOOP, LONGEST_TRIAL_LOOP] = LIMITS.trialLoopSeconds;
/** Rendered before the loop, from its own end: what the stages' filters hold when it comes round again. */
const PRE_ROLL: Seconds = 3;
/** Rendered after it, from its own start: what over-sampling filters look ahead into. */
const POST_ROLL: Seconds = 0.1;

/** Frames of the loop and of what is rendered around it. */
export interface LoopFrames {
  readonly before: number;
  readonly loop: number;
  readonly after: number;
}

/**
 * @param settle what the circuits of the sounds' racks need, seconds
 * @throws TrialError where the loop isn't 8 to 15 s long
 */
export function loopFrames(frames: number, sampleRate: number, settle: Seconds = 0): LoopFrames {
  const seconds = frames / sampleRate;
  // Regions are in seconds, so a loop of exactly 8 s may be a frame short.
  if (seconds < SHORTEST_TRIAL_LOOP - 0.001 || seconds > LONGEST_TRIAL_LOOP + 0.001) {
    throw new TrialError(
      `Blind trials repeat ${SHORTEST_TRIAL_LOOP} to ${LONGEST_TRIAL_LOOP} seconds; this loop has ${seconds.toFixed(1)}. Choose another stretch.`,
    );
  }
  const before = Math.min(frames, Math.round(Math.max(PRE_ROLL, settle) * sampleRate));
  return { before, loop: frames, after: Math.round(POST_ROLL * sampleRate) };
}

/** A copy of the loop of one recording; silence where the recording has ended. A view would be sent with all of it. */
export function loopOf(planes: Planes, { startSeconds, endSeconds }: Region, sampleRate: number): Planes {
  const [start, end] = [Math.round(startSeconds * sampleRate), Math.round(endSeconds * sampleRate)];
  return sliced(planes, start, end).map((plane) => plane.slice());
}

/** The loop with its own end before it and its own start after it. */
export function rolledOut(loop: Planes, { before, after }: LoopFrames): Planes {
  return loop.map((plane) => {
    const out = new Float32Array(before + plane.length + after);
    out.set(plane.subarray(plane.length - before));
    out.set(plane, before);
    out.set(plane.subarray(0, after), before + plane.length);
    return out;
  });
}
