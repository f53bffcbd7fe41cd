/** The render core against sums worked out by hand, and against the analysis, which renders rack by rack. */
import { describe, expect, it } from 'vitest';
import { dbToGain } from '../../src/dsp/units.ts';
import { rackConfig } from '../../src/render/engine-config.ts';
import { RackRenderer } from '../../src/render/rack-renderer.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import { renderSession, sessionFrames } from '../../src/render/session-render.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { emptySession } from '../../src/session/document.ts';
import {
  channelOf,
  oneChannel,
  rackOf,
  sameBits,
  smallSession,
  smallSources,
  stageOf,
  whiteNoise,
} from '../measure/sessions.ts';

const render = (document: SessionDocument, sources: Map<string, Float32Array[]>, factor: 4 | 8 = 4) =>
  runToEnd(renderSession(document, sources, { factor }));

/** The small session with every rack empty. */
function withoutStages(): SessionDocument {
  const session = smallSession();
  const channels = session.channels.map((channel) => ({ ...channel, rack: rackOf() }));
  const buses = session.buses.map((bus) => ({ ...bus, rack: rackOf() }));
  return { ...session, channels, buses, mix: { rack: rackOf(), outputMatchDb: null } };
}

/** sum += gain·x in single precision, each product and each sum rounded. */
function add(sum: Float32Array, plane: Float32Array, gain: number): void {
  const g = Math.fround(gain);
  for (let i = 0; i < plane.length; i++) sum[i] += Math.fround(g * plane[i]);
}

/** Balance law of the design: the side turned away from falls by a cosine, the other stays. */
function balance(gainDb: number, pan: number, side: number): number {
  const turned = side === 0 ? pan : -pan;
  return dbToGain(gainDb) * (turned > 0 ? Math.cos((Math.PI / 2) * (turned / 100)) : 1);
}

/** The plain sum of the session's channels: direct ones, then buses, as a mixer without any racks would do it. */
function plainSum(document: SessionDocument, sources: Map<string, Float32Array[]>): Float32Array[] {
  const frames = sessionFrames(document, sources);
  return [0, 1].map((side) => {
    const mix = new Float32Array(frames);
    const plane = (id: string) => sources.get(id)?.[side] ?? sources.get(id)?.[0] ?? new Float32Array(0);
    for (const { id, gainDb, pan, busId } of document.channels) {
      if (busId === null) add(mix, plane(id), balance(gainDb, pan, side));
    }
    for (const bus of document.buses) {
      const sum = new Float32Array(frames);
      for (const { id, gainDb, pan, busId } of document.channels) {
        if (busId === bus.id) add(sum, plane(id), balance(gainDb, pan, side));
      }
      add(mix, sum, dbToGain(bus.gainDb));
    }
    return mix;
  });
}

const SILENCE = 200;

function padTo(frames: number, plane: Float32Array): Float32Array {
  const out = new Float32Array(frames);
  out.set(plane, SILENCE);
  return out;
}

describe('renderSession', () => {
  const sources = smallSources(1.3);

  it('gives a clean side that is the plain sum of the channels, bit for bit', () => {
    const { clean, coloured } = render(smallSession(), sources);
    const expected = plainSum(smallSession(), sources);
    expect(sameBits(clean[0], expected[0])).toBe(true);
    expect(sameBits(clean[1], expected[1])).toBe(true);
    expect(sameBits(coloured[0], expected[0])).toBe(false);
  });

  it('colours nothing when every rack is empty, bit for bit', () => {
    const { clean, coloured } = render(withoutStages(), sources);
    const expected = plainSum(withoutStages(), sources);
    for (const side of [0, 1]) {
      expect(sameBits(clean[side], expected[side])).toBe(true);
      expect(sameBits(coloured[side], expected[side])).toBe(true);
    }
  });

  it('passes a recording at unity through an empty rack untouched, its own length, no latency', () => {
    const input = whiteNoise(70_001, 0.2, 5);
    const { clean, coloured } = render(oneChannel(rackOf()), new Map([['one', [input]]]));
    for (const plane of [...clean, ...coloured]) expect(sameBits(plane, input)).toBe(true);
  });

  it.each([4, 8] as const)('is what the analysis renders rack by rack, bit for bit, at %sx', (factor) => {
    const document: SessionDocument = { ...smallSession(), matching: false };
    const frames = sessionFrames(document, sources) + 2 * SILENCE;
    const quiet = new Map([...sources].map(([id, planes]) => [id, planes.map((plane) => padTo(frames, plane))]));
    const { coloured } = render(document, quiet, factor);
    const renderer = new RackRenderer(document.sampleRate, factor, document.alignmentDbfs);
    const through = (rack: SessionDocument['mix']['rack'], planes: Float32Array[]) =>
      runToEnd(renderer.render(rackConfig(rack, false), planes));
    const processed = new Map(
      document.channels.map(({ id, rack }) => {
        // A moment of silence at both ends, and the session's length: what a rack's linear-phase filters ring before
        // and after its input reaches the next rack in the engine, but is cut off where racks are rendered singly.
        return [id, through(rack, quiet.get(id) ?? [])];
      }),
    );
    const [reeds] = document.buses;
    const onBus = {
      ...document,
      channels: document.channels.filter(({ busId }) => busId !== null),
      buses: [{ ...reeds, gainDb: 0 }],
    };
    const bus = through(reeds.rack, plainSum(onBus, processed));
    const mix = plainSum(
      { ...document, channels: document.channels.filter(({ busId }) => busId === null), buses: [] },
      processed,
    );
    mix.forEach((plane, side) => {
      add(plane, bus[side], dbToGain(reeds.gainDb));
    });
    const expected = through(document.mix.rack, mix);
    // The coupling's slow decay is still under way at the end, so the cut reaches back by a filter's length there.
    const whole = frames - SILENCE;
    for (const side of [0, 1]) {
      expect(sameBits(coloured[side].slice(0, whole), expected[side].slice(0, whole))).toBe(true);
    }
  });

  it('applies stored gains: a rack’s match with its trim, and the last gain', () => {
    const rack = rackOf(stageOf('soft-clip', { drive: 6 }));
    const plain = oneChannel(rack);
    const input = new Map([['one', [whiteNoise(30_000, 0.1, 6)]]]);
    const matched = oneChannel({ ...rack, matchGainDb: -2.25, matchTrimDb: 0.35 });
    matched.mix.outputMatchDb = 0.5;
    const bare = render(plain, input).coloured[0];
    const gained = render(matched, input).coloured[0];
    const match = Math.fround(dbToGain(-2.25 + 0.35));
    const last = Math.fround(dbToGain(0.5));
    expect(
      sameBits(
        gained,
        bare.map((x) => Math.fround(last * Math.fround(match * x))),
      ),
    ).toBe(true);
    expect(sameBits(render({ ...matched, matching: false }, input).coloured[0], bare)).toBe(true);
  });

  it('keeps an impulse in its place on both sides, through channel, bus and mix racks', () => {
    const document = smallSession();
    const impulse = new Float32Array(4000);
    impulse[1234] = 0.5;
    const { clean, coloured } = render(document, new Map([['melodica', [impulse]]]));
    const peak = (plane: Float32Array) =>
      plane.reduce((best, x, i) => (Math.abs(x) > Math.abs(plane[best]) ? i : best), 0);
    expect([peak(clean[0]), peak(coloured[0])]).toEqual([1234, 1234]);
  });

  it('ends with what the filters still hold: a click in the last frame is rendered as one in the middle is', () => {
    const document = oneChannel(rackOf(stageOf('soft-clip', { drive: 12 })));
    const early = new Float32Array(3000);
    early[1499] = 0.9;
    const late = early.slice(0, 1500);
    const whole = render(document, new Map([['one', [early]]])).coloured[0];
    const cut = render(document, new Map([['one', [late]]])).coloured[0];
    expect(sameBits(cut, whole.slice(0, 1500))).toBe(true);
  });

  it('treats a channel without sound as silence and a session without sound as nothing', () => {
    const document = { ...emptySession(48000), channels: [channelOf('a'), channelOf('b')] };
    const input = whiteNoise(1000, 0.1, 7);
    expect(sameBits(render(document, new Map([['b', [input]]])).clean[0], input)).toBe(true);
    expect(render(document, new Map()).clean.map((plane) => plane.length)).toEqual([0, 0]);
  });

  it('tells how far it is, up to the whole', () => {
    const shares: number[] = [];
    runToEnd(renderSession(smallSession(), sources, { factor: 4, onProgress: (share) => shares.push(share) }));
    expect(shares.length).toBeGreaterThan(1);
    expect(shares.at(-1)).toBe(1);
    expect([...shares].sort((a, b) => a - b)).toEqual(shares);
  });
});
