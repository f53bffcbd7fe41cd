import { describe, expect, it } from 'vitest';
import { LONGEST_REGION_SECONDS, longestRegionSeconds, shortenedRegion } from '../../src/measure/match-region.ts';
import { SessionAnalysis } from '../../src/measure/session-analysis.ts';
import type { Planes } from '../../src/render/rack-renderer.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import { emptySession } from '../../src/session/document.ts';
import { AnalysisSources } from '../../src/workers/analysis-sources.ts';
import { bursts, channelOf, rackOf, stageOf } from '../measure/sessions.ts';

const RATE = 8000;
const SECONDS = 90;

const document = {
  ...emptySession(RATE),
  channels: [
    channelOf('long', { rack: rackOf(stageOf('soft-clip', { drive: 6 })) }),
    channelOf('short', { rack: rackOf(stageOf('soft-clip', { drive: 0 })) }),
  ],
};
const sounds = new Map<string, Planes>([
  ['long', [bursts(SECONDS * RATE, RATE, 0.5, 1)]],
  ['short', [bursts(45 * RATE, RATE, 0.5, 2)]],
]);

/** An analysis fed by what was sent, and how many frames that were. */
function fed() {
  const analysis = new SessionAnalysis(RATE, -18);
  let frames = 0;
  const sources = new AnalysisSources(({ channelId, planes, stretch }) => {
    frames += planes?.[0].length ?? 0;
    analysis.setSource(channelId, planes, stretch);
  });
  return { analysis, sources, sent: () => frames };
}

function whole() {
  const analysis = new SessionAnalysis(RATE, -18);
  for (const [id, planes] of sounds) analysis.setSource(id, planes);
  return analysis;
}

describe('what the analysis worker is sent', () => {
  it.each([
    ['a region in the middle', { startSeconds: 40, endSeconds: 50 }, 15],
    ['a region behind the end of one channel', { startSeconds: 60, endSeconds: 70 }, 10],
    ['everything', null, 135],
  ])('is what %s needs, and gives the same result as all of it', (_, matchRegion, seconds) => {
    const asked = { ...document, matchRegion };
    const { analysis, sources, sent } = fed();
    sources.follow(asked, sounds);
    expect(sent()).toBe(seconds * RATE);
    expect(analysis.frames).toBe(SECONDS * RATE);
    expect(runToEnd(analysis.analyse(asked))).toEqual(runToEnd(whole().analyse(asked)));
  });

  it('is sent again only where the region leaves it, and goes when its channel goes', () => {
    const { analysis, sources, sent } = fed();
    const at = (startSeconds: number, endSeconds: number) => ({
      ...document,
      matchRegion: { startSeconds, endSeconds },
    });
    sources.follow(at(10, 30), sounds);
    const first = sent();
    sources.follow(at(15, 25), sounds);
    expect(sent()).toBe(first);
    sources.follow(at(20, 40), sounds);
    expect(sent()).toBe(2 * first);
    sources.follow(at(20, 40), new Map());
    expect(sources.isEmpty).toBe(true);
    expect(analysis.frames).toBe(0);
  });
});

describe('the longest match region', () => {
  it('gets shorter with the number of channels, so that a tab holds 24 stereo ones', () => {
    expect(longestRegionSeconds(2, 48_000)).toBe(LONGEST_REGION_SECONDS);
    const seconds = longestRegionSeconds(48, 48_000);
    expect(seconds).toBeGreaterThan(60);
    // In and out of 24 channels and 8 buses, with the sums of buses and mix: bytes at single precision.
    expect(4 * 48_000 * seconds * (2 * 48 + 4 * 8)).toBeLessThan(2.5e9);
  });

  it('is said where it is less than was asked for', () => {
    const extent = { frames: 300 * RATE, planes: 2 };
    expect(shortenedRegion(document, extent)).toEqual({ startSeconds: 30, endSeconds: 270 });
    expect(shortenedRegion(document, { ...extent, frames: 200 * RATE })).toBeNull();
    const asked = { ...document, matchRegion: { startSeconds: 0, endSeconds: 280 } };
    expect(shortenedRegion(asked, extent)).toEqual({ startSeconds: 20, endSeconds: 260 });
    expect(shortenedRegion({ ...asked, matchRegion: { startSeconds: 10, endSeconds: 20 } }, extent)).toBeNull();
  });
});
