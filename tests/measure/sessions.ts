/** Small sessions and signals for the tests of the analysis. */
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { defaultValues } from '../../src/engine/parameters.ts';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import type { Channel, Rack, SessionDocument, Stage } from '../../src/session/document.ts';
import { emptyRack, emptySession, newBus, newChannel, newStage } from '../../src/session/document.ts';

let ids = 0;

export function stageOf(kind: string, params: Stage['params'] = {}): Stage {
  const declared = stageKinds.find(({ id }) => id === kind);
  if (!declared) throw new Error(`no kind ${kind}`);
  ids++;
  return newStage(`stage-${ids}`, kind, { ...defaultValues(declared.parameters), ...params });
}

export function rackOf(...stages: Stage[]): Rack {
  return { ...emptyRack(), stages };
}

export function channelOf(id: string, settings: Partial<Channel> = {}): Channel {
  return newChannel(id, id, settings);
}

/** One channel that goes straight to the mix. */
export function oneChannel(rack: Rack, sampleRate = 48000): SessionDocument {
  return { ...emptySession(sampleRate), channels: [channelOf('one', { rack })] };
}

/** Two channels on a bus and one beside it, with stages everywhere. */
export function smallSession(sampleRate = 48000): SessionDocument {
  return {
    ...emptySession(sampleRate, 'Harbour Hall'),
    channels: [
      channelOf('melodica', {
        busId: 'reeds',
        gainDb: -3,
        pan: -40,
        rack: rackOf(stageOf('soft-clip', { drive: 8, bias: 30 })),
      }),
      channelOf('accordion', {
        busId: 'reeds',
        gainDb: -2.5,
        pan: 25,
        rack: rackOf(stageOf('harmonic-set', { drive: 5 })),
      }),
      channelOf('frame drum', {
        gainDb: 1.5,
        pan: 10,
        rack: rackOf(stageOf('diode-pair', { drive: 6 }), stageOf('soft-clip')),
      }),
    ],
    buses: [
      newBus('reeds', 'Reeds', {
        gainDb: -1,
        rack: rackOf(stageOf('soft-clip', { curve: 'algebraic', knee: 3, drive: 4 })),
      }),
    ],
    mix: { rack: rackOf(stageOf('soft-clip', { drive: 3, tilt: 4 })), outputMatchDb: null },
  };
}

/** Gaussian noise of a standard deviation, white, seeded. */
export function whiteNoise(length: number, sigma: number, seed: number): Float32Array {
  const random = seededRandom(seed);
  return Float32Array.from({ length }, () => sigma * gaussian(random));
}

/** Bursts: noise through a slow, deep rise and fall, level-realistic and gated in part, as percussion is. */
export function bursts(length: number, sampleRate: number, level: number, seed: number): Float32Array {
  const random = seededRandom(seed);
  let low = 0;
  return Float32Array.from({ length }, (_, i) => {
    const t = (i / sampleRate) % 0.8;
    low += 0.15 * (gaussian(random) - low);
    return level * low * (0.002 + Math.exp(-7 * t)) * (0.6 + 0.4 * Math.sin((2 * Math.PI * i) / (4.3 * sampleRate)));
  });
}

/** Sounds for `smallSession`: two mono, one stereo, of different lengths. */
export function smallSources(seconds = 6, sampleRate = 48000): Map<string, Float32Array[]> {
  const n = Math.round(seconds * sampleRate);
  return new Map([
    ['melodica', [bursts(n, sampleRate, 1.2, 1)]],
    ['accordion', [bursts(n - 5000, sampleRate, 0.8, 2), bursts(n - 5000, sampleRate, 0.9, 3)]],
    ['frame drum', [bursts(n - 12345, sampleRate, 1.6, 4)]],
  ]);
}

export function sameBits(a: Float32Array, b: Float32Array): boolean {
  if (a.length !== b.length) return false;
  const x = new Uint32Array(a.slice().buffer);
  const y = new Uint32Array(b.slice().buffer);
  return x.every((value, i) => value === y[i]);
}
