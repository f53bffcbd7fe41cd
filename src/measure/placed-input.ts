/** What of a programme a stage's circuit is given, where the stage colours a part of the stereo field or a band only. */
import { butterworth, filtered } from '../dsp/butterworth.ts';
import type { Planes } from '../render/rack-renderer.ts';
import type { Stage } from '../session/document.ts';

/**
 * The circuit's input out of the stage's, at the programme's own rate; the planes themselves where it is given all of
 * them. The same parts as in `src/engine/placement.ts`: middle (L + R)/2, side (L − R)/2, two edges in any order.
 */
export function placedInput(planes: Planes, { params }: Pick<Stage, 'params'>, sampleRate: number): Planes {
  const field = ofField(planes, params.stereo);
  const { band, bandFrom, bandTo } = params;
  if (band !== 'between' || typeof bandFrom !== 'number' || typeof bandTo !== 'number') return field;
  const low = butterworth('high-pass', Math.min(bandFrom, bandTo), sampleRate);
  const high = butterworth('low-pass', Math.max(bandFrom, bandTo), sampleRate);
  return field.map((plane) => filtered(high, filtered(low, plane)));
}

function ofField(planes: Planes, stereo: unknown): Planes {
  if (typeof stereo !== 'string' || stereo === 'left-right') return planes;
  const [left, right = left] = planes;
  const middle = left.map((value, i) => (value + right[i]) / 2);
  const side = left.map((value, i) => (value - right[i]) / 2);
  if (stereo === 'middle') return [middle];
  return stereo === 'side' ? [side] : [middle, side];
}
