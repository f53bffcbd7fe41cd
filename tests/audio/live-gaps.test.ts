/** Blocks that never came: a synthetic gap in a steady tone. */
import { describe, expect, it } from 'vitest';
import { LiveAnalysis } from '../../src/audio/live-analysis.ts';
import type { LiveFrame } from '../../src/stores/live-store.ts';

const RATE = 48000;
const BLOCK = 640;

/** A tone of 997 Hz, of which the blocks that `lost` names never come. @param honest whether the stamps say so */
function tone(seconds: number, lost: (block: number) => boolean, honest = true): LiveFrame[] {
  const analysis = new LiveAnalysis();
  analysis.reset('rack');
  const frames: LiveFrame[] = [];
  let told = 0;
  for (let block = 0; block * BLOCK < seconds * RATE; block++) {
    const at = block * BLOCK;
    if (lost(block)) continue;
    const plane = Float32Array.from({ length: BLOCK }, (_, i) => 0.5 * Math.sin((2 * Math.PI * 997 * (at + i)) / RATE));
    frames.push(analysis.push([plane, plane, plane, plane], RATE, { at: honest ? at : told, settings: 1 }));
    told += BLOCK;
  }
  return frames;
}

/** The highest level away from the tone, where a step in the sound leaves its skirt. */
function skirt({ frequencies, clean }: LiveFrame): number {
  let most = -Infinity;
  frequencies.forEach((hz, i) => {
    if (hz < 700 || hz > 1400) most = Math.max(most, clean[i]);
  });
  return most;
}

const worst = (frames: readonly LiveFrame[]) => frames.reduce((most, frame) => Math.max(most, skirt(frame)), -Infinity);

describe('blocks that never came', () => {
  const lost = (block: number) => block === 150 || block === 151 || block === 190;

  it('would be drawn as a skirt if nobody noticed', () => {
    const told = worst(tone(5, lost, false));
    console.log(`skirt of an unnoticed gap: ${told.toFixed(1)} dBFS`);
    expect(told).toBeGreaterThan(-70);
  });

  it('are in no picture, and counted', () => {
    const frames = tone(5, lost);
    const told = worst(frames);
    console.log(`skirt with the gap left out: ${told.toFixed(1)} dBFS`);
    expect(told).toBeLessThan(-92);
    expect(frames.at(-1)?.missedBlocks).toBe(3);
    expect(frames.at(-1)?.waiting).toBe(false);
    expect(frames[150].missedBlocks).toBe(2);
    expect(frames[150].waiting).toBe(true);
  });

  it('leave the picture as it was until a whole stretch has come', () => {
    const frames = tone(5, lost);
    expect(frames[155].clean).toEqual(frames[149].clean);
    // The longest transform, 65536 points, is whole 103 blocks after the last gap.
    expect(frames[187 + 100].waiting).toBe(true);
    expect(frames[187 + 104].waiting).toBe(false);
  });

  it('leave an analyser that never gets a whole stretch waiting, and say how many', () => {
    const frames = tone(4, (block) => block % 3 === 2);
    const last = frames.at(-1) as LiveFrame;
    // Not even 4096 points in a row: nothing is drawn at all.
    expect(Math.max(...last.clean)).toBe(-200);
    expect(last.missedBlocks).toBe(Math.floor(300 / 3) - 1);
  });

  it('count anew after another start', () => {
    const analysis = new LiveAnalysis();
    const plane = new Float32Array(BLOCK);
    const push = (at: number) => analysis.push([plane, plane, plane, plane], RATE, { at, settings: 1 }).missedBlocks;
    expect([push(0), push(2 * BLOCK)]).toEqual([0, 1]);
    analysis.reset('other');
    expect(push(9 * BLOCK)).toBe(0);
  });
});
