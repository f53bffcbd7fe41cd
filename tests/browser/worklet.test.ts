/**
 * The session worklet in a real browser, through the audio library's offline context: what it puts out equals the engine
 * run on the page (the guard's delay apart), and nothing hostile gets through.
 */
import { expect } from '@open-wc/testing';
import { AudioWorkletNode, type IOfflineAudioContext, OfflineAudioContext } from 'standardized-audio-context';
import { stageConfig } from '../../src/engine/calibration.ts';
import type { RackConfig, SessionConfig } from '../../src/engine/config.ts';
import { EMPTY_RACK } from '../../src/engine/config.ts';
import { instantiateKernels, kernelBytes } from '../../src/engine/kernels.ts';
import { GUARD_LATENCY } from '../../src/engine/output-guard.ts';
import { toNumber } from '../../src/engine/parameters.ts';
import type { ProcessorOptions } from '../../src/engine/protocol.ts';
import { PROCESSOR_NAME } from '../../src/engine/protocol.ts';
import { SESSION_LATENCY, SessionEngine } from '../../src/engine/session-engine.ts';
import { findStageKind } from '../../src/engine/stages/catalogue.ts';
import workletUrl from '../../worklets/session.worklet.ts?worker&url';

function rack(...stages: [kind: string, params: Record<string, number | string>][]): RackConfig {
  return {
    on: true,
    match: 1,
    stages: stages.map(([id, params], index) => {
      const kind = findStageKind(id);
      if (!kind) throw new Error(id);
      const values = kind.parameters.map((parameter) => toNumber(parameter, params[parameter.id]));
      return stageConfig(kind, { key: `${id} ${index}`, on: true, values });
    }),
  };
}

function config(channelRacks: RackConfig[], more: Partial<SessionConfig> = {}): SessionConfig {
  const graph = (empty: boolean) => ({
    channels: channelRacks.map((own, index) => ({
      bus: index % 2 === 0 ? 0 : -1,
      gain: 0.4,
      pan: index % 2 === 0 ? -0.3 : 0.3,
      rack: empty ? EMPTY_RACK : own,
    })),
    buses: [{ gain: 1, rack: empty ? EMPTY_RACK : rack(['soft-clip', { drive: 2 }]) }],
    mix: empty ? EMPTY_RACK : rack(['soft-clip', { curve: 'cubic' }]),
    outputGain: 1,
  });
  return { alignmentDbfs: -18, a: graph(true), b: graph(false), ...more };
}

const RACKS = [
  rack(['soft-clip', { bias: 40, drive: 6 }], ['harmonic-set', {}]),
  rack(['diode-pair', { up: '2', drive: 4 }], ['soft-clip', { curve: 'algebraic', knee: 1.5 }]),
  rack(['soft-clip', { curve: 'algebraic', knee: 100, drive: 10 }]),
];

async function throughWorklet(
  inputs: (Float32Array<ArrayBuffer>[] | null)[],
  frames: number,
  sampleRate: number,
  options: { moduleToo?: boolean; headroom?: number } = {},
): Promise<Float32Array[]> {
  const context: IOfflineAudioContext = new OfflineAudioContext({ length: frames, numberOfChannels: 2, sampleRate });
  await context.audioWorklet?.addModule(workletUrl);
  const processorOptions: ProcessorOptions = {
    engine: { sampleRate, factor: 4, alignmentDbfs: -18, maxChannels: 4, maxBuses: 2 },
    config: config(RACKS, { headroom: options.headroom }),
    bytes: kernelBytes(),
    ...(options.moduleToo ? { module: new WebAssembly.Module(kernelBytes()) } : {}),
  };
  const Node = AudioWorkletNode as NonNullable<typeof AudioWorkletNode>;
  const node = new Node(context, PROCESSOR_NAME, {
    numberOfInputs: 4,
    numberOfOutputs: 1,
    outputChannelCount: [2],
    processorOptions: processorOptions as unknown as Record<string, unknown>,
  });
  inputs.forEach((planes, input) => {
    if (!planes) return;
    const buffer = context.createBuffer(planes.length, planes[0].length, sampleRate);
    planes.forEach((plane, channel) => {
      buffer.copyToChannel(plane, channel);
    });
    const source = context.createBufferSource();
    source.buffer = buffer;
    source.connect(node, 0, input);
    source.start(0);
  });
  node.connect(context.destination);
  const rendered = await context.startRendering();
  return [rendered.getChannelData(0), rendered.getChannelData(1)];
}

function onPage(inputs: (Float32Array[] | null)[], frames: number, sampleRate: number): Float32Array[] {
  const engine = new SessionEngine(instantiateKernels(), {
    sampleRate,
    factor: 4,
    alignmentDbfs: -18,
    maxChannels: 4,
    maxBuses: 2,
  });
  engine.reset(config(RACKS));
  engine.listenNow('b');
  const out = [new Float32Array(frames), new Float32Array(frames)];
  engine.process(
    inputs.map((planes) => planes ?? []),
    out,
    frames,
  );
  return out;
}

/** A few partials with an envelope; different for each channel. */
function sound(frames: number, sampleRate: number, seed: number): Float32Array<ArrayBuffer> {
  return Float32Array.from({ length: frames }, (_, i) => {
    const t = i / sampleRate;
    const tone = Math.sin(2 * Math.PI * (110 + 37 * seed) * t) + 0.5 * Math.sin(2 * Math.PI * (1310 + 91 * seed) * t);
    return 0.12 * tone * (0.6 + 0.4 * Math.sin(2 * Math.PI * 3 * t + seed));
  });
}

function finite(planes: readonly Float32Array[]): boolean {
  return planes.every((plane) => plane.every((x) => Number.isFinite(x)));
}

describe('session worklet', () => {
  for (const sampleRate of [44100, 48000, 96000]) {
    it(`puts out what the engine computes, sample for sample, at ${sampleRate} Hz`, async () => {
      const frames = 24000;
      const inputs = [
        [sound(frames, sampleRate, 1)],
        [sound(frames, sampleRate, 2), sound(frames, sampleRate, 3)],
        [sound(frames, sampleRate, 4)],
      ];
      const heard = await throughWorklet(inputs, frames, sampleRate);
      const expected = onPage(inputs, frames, sampleRate);
      let largest = 0;
      let power = 0;
      for (let side = 0; side < 2; side++) {
        for (let i = GUARD_LATENCY; i < frames; i++) {
          const difference = heard[side][i] - expected[side][i - GUARD_LATENCY];
          largest = Math.max(largest, Math.abs(difference));
          power += expected[side][i - GUARD_LATENCY] ** 2;
        }
      }
      expect(power).to.be.greaterThan(1);
      // Firefox flushes denormal numbers (below 1.2e-38) on its audio thread; there is nothing else between the two.
      expect(largest).to.be.lessThan(1e-37);
    });
  }

  it('plays the same whether it gets a compiled module or the bytes', async () => {
    const inputs = [[sound(6000, 48000, 1)]];
    const one = await throughWorklet(inputs, 6000, 48000);
    const other = await throughWorklet(inputs, 6000, 48000, { moduleToo: true });
    expect(one[0].some((x) => x !== 0)).to.equal(true);
    expect(one).to.deep.equal(other);
  });

  it('lets no NaN, infinity or absurd value out, and recovers from them', async () => {
    const frames = 24000;
    const hostile = sound(frames, 48000, 1);
    for (let i = 2000; i < 2400; i++) hostile[i] = [NaN, Infinity, -Infinity, 1e30, -1e30, 1e-42][i % 6];
    const heard = await throughWorklet([[hostile], [hostile, hostile], null], frames, 48000);
    expect(finite(heard)).to.equal(true);
    // The guard holds the output below its ceiling of −1 dBTP all the time.
    const peak = heard[0].reduce((most, x) => Math.max(most, Math.abs(x)), 0);
    expect(peak).to.be.lessThan(10 ** (-0.9 / 20));
    // Long after the bad samples it sounds as if they had never been (AC coupling at 2 Hz has settled to −80 dB).
    const clean = sound(frames, 48000, 1);
    clean.fill(0, 2000, 2400);
    const expected = await throughWorklet([[clean], [clean, clean], null], frames, 48000);
    let late = 0;
    for (let i = frames - 4000; i < frames; i++) late = Math.max(late, Math.abs(heard[0][i] - expected[0][i]));
    expect(late).to.be.lessThan(0.02);
  });

  it('lowers both sides by the common headroom, so that the guard leaves a hot session alone', async () => {
    const frames = 24000;
    const rate = 48000;
    const loud = [1, 2, 4].map((seed) => [sound(frames, rate, seed).map((x) => 16 * x)]);
    const lowered = await throughWorklet(loud, frames, rate, { headroom: 0.03125 });
    const expected = onPage(loud, frames, rate);
    let largest = 0;
    for (let i = GUARD_LATENCY; i < frames; i++) {
      largest = Math.max(largest, Math.abs(lowered[0][i] - 0.03125 * expected[0][i - GUARD_LATENCY]));
    }
    // A power of two is exact: had the guard acted on anything, it would show.
    expect(largest).to.be.lessThan(1e-37);
    // Nothing is as hot as the clean side here, which isn't heard: without headroom the guard acts for it.
    const guarded = await throughWorklet(loud, frames, rate);
    let most = 0;
    for (let i = GUARD_LATENCY + 4800; i < frames; i++) {
      most = Math.max(most, Math.abs(expected[0][i - GUARD_LATENCY]) - Math.abs(guarded[0][i]));
    }
    expect(most).to.be.greaterThan(0.05);
  });

  it('is silent for silence, for no input at all and for denormals', async () => {
    const frames = 6000;
    const silence = await throughWorklet([[new Float32Array(frames)], null, null], frames, 48000);
    expect(silence[0].every((x) => x === 0)).to.equal(true);
    const denormal = await throughWorklet([[new Float32Array(frames).fill(1e-42)]], frames, 48000);
    expect(denormal[0].every((x) => Math.abs(x) < 1e-30)).to.equal(true);
  });

  it('gives a mono channel to both sides alike', async () => {
    const frames = 6000;
    const mono = await throughWorklet([null, null, [sound(frames, 48000, 5)]], frames, 48000);
    const stereo = await throughWorklet(
      [null, null, [sound(frames, 48000, 5), sound(frames, 48000, 5)]],
      frames,
      48000,
    );
    expect(mono[0].some((x) => x !== 0)).to.equal(true);
    expect(mono).to.deep.equal(stereo);
    // Balanced to the left, so the right is quieter.
    expect(Math.abs(mono[0][SESSION_LATENCY + 500])).to.be.greaterThan(Math.abs(mono[1][SESSION_LATENCY + 500]));
  });
});
