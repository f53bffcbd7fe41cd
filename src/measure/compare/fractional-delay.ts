import { kaiser, sinc } from '../../dsp/kaiser.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import { filtered } from './overlap-save.ts';

/** Half the length of the interpolating filter, samples. */
const HALF = 256;
/** Kaiser's window: ripple below −120 dB up to 0.49 of the rate. */
const BETA = 12.26;

/**
 * Planes later by a fraction of a sample, −1 to 1, by a windowed sinc. The error is below −110 dB up to 0.485 of the rate;
 * within HALF samples of both ends the signal's edge is in it. A fraction of 0 gives the planes themselves.
 */
export function* fractionalDelay(planes: Planes, fraction: number): Generator<void, Planes> {
  if (fraction === 0) return planes;
  const kernel = Float64Array.from({ length: 2 * HALF }, (_, i) => {
    const t = i - HALF - fraction;
    return sinc(t) * kaiser(t / (HALF + 1), BETA);
  });
  return yield* filtered(planes, kernel, HALF);
}
