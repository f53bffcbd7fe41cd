/** The player of blind trials against the samples it was given: slots in step, switches alike, levels right. */
import { expect } from '@open-wc/testing';
import type { IOfflineAudioContext } from 'standardized-audio-context';
import { OfflineAudioContext } from '../../src/audio/audio-library.ts';
import type { SlotSound, TrialPair } from '../../src/audio/trial-graph.ts';
import { TRIAL_FADE, TRIAL_RISE, TrialGraph } from '../../src/audio/trial-graph.ts';
import { seededRandom } from '../../src/dsp/random.ts';

const RATE = 48000;
/** A quarter of a second, so that a test hears the loop go round several times. */
const LOOP = RATE / 4;
/** Whole render quanta, so that every event falls on a frame. */
const frameTime = (frame: number) => frame / RATE;
const FADE = TRIAL_FADE * RATE;
const RISE = TRIAL_RISE * RATE;

function noise(seed: number): Float32Array[] {
  const random = seededRandom(seed);
  return [0, 1].map(() => Float32Array.from({ length: LOOP }, () => random() - 0.5));
}

function pairOf(first: SlotSound, second: SlotSound, x: SlotSound | null, level = 1): TrialPair {
  return { slots: { first, second, x }, level };
}

const plain = (planes: Float32Array[], extraGainDb = 0): SlotSound => ({ planes, extraGainDb });

async function rendered(
  pair: TrialPair,
  frames: number,
  act: (graph: TrialGraph<IOfflineAudioContext>) => void = () => undefined,
  start = 0,
): Promise<Float32Array[]> {
  const context = new OfflineAudioContext({ length: frames, numberOfChannels: 2, sampleRate: RATE });
  act(new TrialGraph(context as IOfflineAudioContext, pair, frameTime(start)));
  const buffer = await context.startRendering();
  return [buffer.getChannelData(0), buffer.getChannelData(1)];
}

/** True where both have the same bits from one frame to another; `planes` goes round. */
function plays(heard: Float32Array[], planes: readonly Float32Array[], from: number, to: number, start = 0): boolean {
  return heard.every((plane, side) => {
    for (let i = from; i < to; i++) if (!Object.is(plane[i], planes[side]?.[(i - start) % LOOP])) return false;
    return true;
  });
}

describe('graph of a pair', () => {
  const [a, b] = [noise(1), noise(2)];

  it('plays each slot to the bit, from one shared place of the loop, and x as what it is', async () => {
    const frames = 2 * RATE;
    const [second, x, first] = [24000, 48000, 72000];
    const heard = await rendered(pairOf(plain(a), plain(b), plain(b)), frames, (graph) => {
      graph.hear('second', frameTime(second));
      graph.hear('x', frameTime(x));
      graph.hear('first', frameTime(first));
    });
    expect(plays(heard, a, RISE + 1, second)).to.equal(true);
    expect(plays(heard, b, second + FADE + 1, x)).to.equal(true);
    expect(plays(heard, b, x + FADE + 1, first)).to.equal(true);
    expect(plays(heard, a, first + FADE + 1, frames)).to.equal(true);
    // The check can fail.
    expect(plays(heard, a, second + FADE + 1, x)).to.equal(false);
  });

  it('starts at its frame, comes up in a straight line to its level, the same for any slot', async () => {
    const start = 1000;
    const ones = [0, 1].map(() => new Float32Array(LOOP).fill(0.5));
    const [left] = await rendered(pairOf(plain(ones), plain(b), null, 0.25), RATE, undefined, start);
    expect((left as Float32Array).subarray(0, start).every((v) => v === 0)).to.equal(true);
    for (const share of [0.1, 0.5, 0.9]) {
      const at = start + Math.round(share * RISE);
      expect((left as Float32Array)[at]).to.be.closeTo(0.5 * 0.25 * share, 1e-5);
    }
    expect((left as Float32Array)[RATE - 1]).to.equal(0.125);
  });

  it('switches in the same straight fade at the same time, whichever slots and sounds they are', async () => {
    const at = 20000;
    const constant = (value: number) => [0, 1].map(() => new Float32Array(LOOP).fill(value));
    const levels = { first: 0.5, second: -0.25, x: 0.125 };
    for (const to of ['second', 'x'] as const) {
      const [left] = await rendered(
        pairOf(plain(constant(levels.first)), plain(constant(levels.second)), plain(constant(levels.x))),
        30000,
        (graph) => graph.hear(to, frameTime(at)),
      );
      for (let i = -2; i <= FADE + 2; i++) {
        const share = Math.min(1, Math.max(0, i / FADE));
        const expected = levels.first + share * (levels[to] - levels.first);
        expect((left as Float32Array)[at + i]).to.be.closeTo(expected, 2e-6);
      }
    }
  });

  it('lets nothing be heard of a switch between two slots with the same sound', async () => {
    const at = 20000;
    const heard = await rendered(pairOf(plain(a), plain(b), plain(a)), 30000, (graph) =>
      graph.hear('x', frameTime(at)),
    );
    const still = await rendered(pairOf(plain(a), plain(b), plain(a)), 30000);
    const worst = Math.max(...heard.map((plane, side) => largest(plane, still[side] as Float32Array)));
    // Rounding in single precision: below −120 dBFS.
    expect(worst).to.be.below(1e-6);
  });

  it('puts switches that come faster than their fades one behind the other', async () => {
    const at = 20000;
    const heard = await rendered(pairOf(plain(a), plain(b), null), 30000, (graph) => {
      graph.hear('second', frameTime(at));
      graph.hear('first', frameTime(at + 10));
      graph.hear('second', frameTime(at + 20));
    });
    expect(plays(heard, b, at + 3 * FADE + 2, 30000)).to.equal(true);
    // No step: no neighbours in any fade are further apart than the sounds' own.
    const ones = [0, 1].map(() => new Float32Array(LOOP).fill(0.5));
    const none = [0, 1].map(() => new Float32Array(LOOP));
    const [left] = await rendered(pairOf(plain(ones), plain(none), null), 30000, (graph) => {
      for (let i = 0; i < 6; i++) graph.hear(i % 2 ? 'first' : 'second', frameTime(at + 7 * i));
    });
    let step = 0;
    for (let i = at - 10; i < 30000; i++)
      step = Math.max(step, Math.abs((left as Float32Array)[i]! - (left as Float32Array)[i - 1]!));
    expect(step).to.be.below(1.05 * (0.5 / FADE));
  });

  it('makes the louder catch sound 1 dB louder, and nothing else', async () => {
    const heard = await rendered(pairOf(plain(a, 1), plain(a), null), 30000, (graph) =>
      graph.hear('second', frameTime(20000)),
    );
    const [louder, same] = [heard[0]!.slice(15000, 19000), heard[0]!.slice(27000, 29000)];
    const rms = (plane: Float32Array, at: number) =>
      Math.sqrt(
        plane.reduce((sum, v) => sum + v * v, 0) / plane.reduce((sum, _, i) => sum + a[0]![(at + i) % LOOP]! ** 2, 0),
      );
    expect(20 * Math.log10(rms(louder, 15000))).to.be.closeTo(1, 1e-4);
    expect(rms(same, 27000)).to.equal(1);
  });

  it('mutes, goes on where it would have been, and ends in silence', async () => {
    const [mute, open, end] = [20000, 30000, 40000];
    const heard = await rendered(pairOf(plain(a), plain(b), plain(b)), RATE, (graph) => {
      graph.setOpen(false, frameTime(mute));
      graph.setOpen(true, frameTime(open));
      graph.end(frameTime(end));
    });
    expect(plays(heard, a, RISE + 1, mute)).to.equal(true);
    expect(heard.every((plane) => plane.subarray(mute + FADE + 1, open).every((v) => v === 0))).to.equal(true);
    expect(plays(heard, a, open + FADE + 1, end)).to.equal(true);
    expect(heard.every((plane) => plane.subarray(end + FADE + 1).every((v) => v === 0))).to.equal(true);
  });

  it('comes back from a mute at another level, all slots alike, and never before', async () => {
    const [mute, open, second] = [20000, 30000, 36000];
    const heard = await rendered(pairOf(plain(a), plain(b), plain(b)), 45000, (graph) => {
      graph.setOpen(false, frameTime(mute), 0.25);
      graph.setOpen(true, frameTime(open), 0.25);
      graph.hear('second', frameTime(second));
    });
    const quarter = [a, b].map((planes) => planes.map((plane) => plane.map((v) => 0.25 * v)));
    expect(plays(heard, a, RISE + 1, mute), 'the old level until then').to.equal(true);
    expect(heard.every((plane) => plane.subarray(mute + FADE + 1, open).every((v) => v === 0))).to.equal(true);
    expect(plays(heard, quarter[0]!, open + FADE + 1, second)).to.equal(true);
    expect(plays(heard, quarter[1]!, second + FADE + 1, 45000)).to.equal(true);
    const peak = Math.max(
      ...heard.map((plane) => plane.subarray(open).reduce((most, v) => Math.max(most, Math.abs(v)), 0)),
    );
    expect(peak, 'no burst at the old level').to.be.at.most(0.125 + 1e-6);
  });

  it('waits with another level for the end of the rise', async () => {
    const [mute, open] = [2048, 4096];
    const heard = await rendered(pairOf(plain(a), plain(b), null), 30000, (graph) => {
      graph.setOpen(false, frameTime(mute));
      graph.setOpen(true, frameTime(open), 0.25);
    });
    expect(heard.every((plane) => plane.subarray(mute + FADE + 1, RISE).every((v) => v === 0))).to.equal(true);
    const quarter = a.map((plane) => plane.map((v) => 0.25 * v));
    expect(plays(heard, quarter, RISE + FADE + 1, 30000)).to.equal(true);
  });

  it('never peaks above the loudest sound times the level, in any fade', async () => {
    const heard = await rendered(pairOf(plain(a), plain(b), plain(a), 0.7), RATE, (graph) => {
      for (let i = 0; i < 40; i++) graph.hear((['second', 'x', 'first'] as const)[i % 3]!, frameTime(15000 + 700 * i));
    });
    const peak = Math.max(...heard.map((plane) => plane.reduce((most, v) => Math.max(most, Math.abs(v)), 0)));
    expect(peak).to.be.at.most(0.5 * 0.7 + 1e-6);
    expect(peak).to.be.above(0.3);
  });
});

function largest(a: Float32Array, b: Float32Array): number {
  return a.reduce((most, v, i) => Math.max(most, Math.abs(v - b[i]!)), 0);
}
