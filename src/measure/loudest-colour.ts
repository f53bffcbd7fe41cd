import { gainToDb } from '../dsp/units.ts';
import type { Planes } from '../render/rack-renderer.ts';

/** Up to three times at least two seconds apart where the difference of the sides is strongest, seconds. */
export function loudestColour(
  clean: Planes,
  coloured: Planes,
  gain: number,
  start: number,
  sampleRate: number,
): number[] {
  const hop = Math.round(0.25 * sampleRate);
  const count = Math.floor(clean[0].length / hop);
  const blocks = Array.from({ length: count }, (_, block) => {
    let sum = 0;
    for (let side = 0; side < coloured.length; side++) {
      const a = clean[side];
      const b = coloured[side];
      for (let i = block * hop; i < (block + 1) * hop; i++) sum += (b[i] - gain * a[i]) ** 2;
    }
    return { seconds: (start + block * hop) / sampleRate, level: gainToDb(Math.sqrt(sum / hop)) };
  });
  blocks.sort((a, b) => b.level - a.level);
  const found: number[] = [];
  for (const { seconds, level } of blocks) {
    if (found.length === 3 || level < -100) break;
    if (found.every((other) => Math.abs(other - seconds) >= 2)) found.push(seconds);
  }
  return found;
}
