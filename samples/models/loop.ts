/** The demo's sample rate, Hz. */
export const RATE = 48_000;
/** The loop: 24 s, eight bars of nine eighths of exactly 16 000 samples. */
export const LOOP_FRAMES = 24 * RATE;
/** Notes may sound on for so long behind the loop's end; that is then added to its beginning. */
const TAIL_FRAMES = 6 * RATE;

/** An empty loop with room for tails. */
export function withTail(): Float64Array {
  return new Float64Array(LOOP_FRAMES + TAIL_FRAMES);
}

/** Adds what sounds on behind the end to the beginning, so that the loop goes round without a seam. */
export function wrapTail(signal: Float64Array): Float64Array {
  const loop = signal.slice(0, LOOP_FRAMES);
  for (let i = LOOP_FRAMES; i < signal.length; i++) loop[i % LOOP_FRAMES] += signal[i];
  return loop;
}

/**
 * Runs a filter with memory round the loop: the last seconds go through it first, so that it starts in the state in which
 * it ends. `process` gets one sample and gives one.
 */
export function roundTheLoop(loop: Float64Array, process: (x: number) => number, seconds = 2): Float64Array {
  const out = new Float64Array(loop.length);
  for (let i = loop.length - seconds * RATE; i < loop.length; i++) process(loop[i]);
  for (let i = 0; i < loop.length; i++) out[i] = process(loop[i]);
  return out;
}
