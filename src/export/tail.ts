import { graphSettle } from '../engine/settling.ts';
import type { TapStreamOptions } from '../render/tap-stream.ts';
import { CHUNK_FRAMES, TapStream } from '../render/tap-stream.ts';

/** What is quieter than this has ended: −120 dBFS. */
const SILENCE = 1e-6;
/** AC coupling has a time constant of 80 ms, so two seconds are −217 dB; circuits with memory add their own. */
const MEMORY_SECONDS = 2;
/** Sound this long below silence doesn't come back. */
const QUIET_SECONDS = 0.5;
const LONGEST_SECONDS = 10;
/** Tails end at a whole tenth of a second. */
const STEP_SECONDS = 0.1;

/**
 * How long what the filters hold rings on behind the last source, frames: until nothing at any of the taps is louder
 * than −120 dBFS any more. Only the end of the session is rendered for it.
 * @param length frames of the longest source
 */
export function tailFrames(options: TapStreamOptions, length: number): number {
  const { sampleRate } = options;
  const settle = Math.max(graphSettle(options.a), graphSettle(options.b));
  const start = Math.max(0, length - Math.ceil((MEMORY_SECONDS + settle) * sampleRate));
  const stream = new TapStream({ ...options, start });
  const most = length + LONGEST_SECONDS * sampleRate;
  let loud = length;
  for (let at = start; at < most && at - loud < QUIET_SECONDS * sampleRate; ) {
    const frames = Math.min(CHUNK_FRAMES, at < length ? length - at : most - at);
    const taps = stream.read(frames);
    if (at >= length) {
      for (const planes of taps) {
        for (const plane of planes) {
          const count = soundingFrames(plane, frames);
          if (count > 0) loud = Math.max(loud, at + count);
        }
      }
    }
    at += frames;
  }
  const step = STEP_SECONDS * sampleRate;
  return loud === length ? 0 : Math.min(most - length, Math.ceil(Math.ceil((loud - length) / step) * step));
}

/** Frames up to the last one that is not silent; 0 if all are. */
function soundingFrames(plane: Float32Array, frames: number): number {
  for (let i = frames - 1; i >= 0; i--) if (Math.abs(plane[i]) > SILENCE) return i + 1;
  return 0;
}
