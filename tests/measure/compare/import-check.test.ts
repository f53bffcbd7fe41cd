/** Mixdowns that are right, and every wrong one that an engineer can make, against what the check must say of them. */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../../src/dsp/random.ts';
import { resample } from '../../../src/dsp/resample.ts';
import { cleanMix } from '../../../src/export/clean-mix.ts';
import { sessionStems } from '../../../src/export/session-stems.ts';
import { compareSounds } from '../../../src/measure/compare/compare-sounds.ts';
import type { ImportCheck } from '../../../src/measure/compare/import-check.ts';
import { importCheck } from '../../../src/measure/compare/import-check.ts';
import type { ImportVerdict } from '../../../src/measure/compare/import-verdict.ts';
import { runToEnd } from '../../../src/render/run-steps.ts';
import type { Channel, SessionDocument } from '../../../src/session/document.ts';
import { emptySession, newBus } from '../../../src/session/document.ts';
import { realRecording, recordingNames } from '../../support/real-recordings.ts';
import { bursts, channelOf, whiteNoise } from '../sessions.ts';

/** A third of the usual one, which the recordings below have: what is found doesn't hang on it. */
const RATE = 16_000;
const SECONDS = 4;
type Planes = Float32Array[];

const noise = (seed: number, sigma = 0.1) => whiteNoise(SECONDS * RATE, sigma, seed);

/** A plucked line: decaying tones at other pitches, with a little noise. */
function line(seed: number, base: number): Float32Array {
  const random = seededRandom(seed);
  const out = new Float32Array(SECONDS * RATE);
  for (let start = 0; start < out.length; start += Math.round(0.31 * RATE)) {
    const hz = base * 2 ** (Math.floor(12 * random()) / 12);
    for (let i = start; i < out.length && i < start + RATE; i++) {
      const t = (i - start) / RATE;
      out[i] += 0.15 * Math.exp(-5 * t) * Math.sin(2 * Math.PI * hz * t) + 0.001 * (random() - 0.5);
    }
  }
  return out;
}

const channel = (name: string, settings: Partial<Channel> = {}) => channelOf(name, { name, ...settings });
const session: SessionDocument = {
  ...emptySession(RATE, 'Harbour Hall'),
  channels: [
    channel('Melodica', { busId: 'reeds', gainDb: -3, pan: -40 }),
    channel('Accordion', { busId: 'reeds', gainDb: -2 }),
    channel('Frame drum', { pan: 20 }),
    channel('Shaker', { gainDb: -12, pan: 60 }),
    channel('Bass', { gainDb: 2 }),
  ],
  buses: [newBus('reeds', 'Reeds', { gainDb: -1 })],
};
const sources = new Map<string, Planes>([
  ['Melodica', [line(1, 440)]],
  ['Accordion', [line(2, 220), line(3, 224)]],
  ['Frame drum', [bursts(SECONDS * RATE, RATE, 0.5, 4)]],
  ['Shaker', [noise(5, 0.02)]],
  ['Bass', [line(6, 55)]],
]);
const mixOf = (document = session, sounds: ReadonlyMap<string, Planes> = sources): Planes =>
  runToEnd(cleanMix(document, sounds));
const mix = mixOf();
const noise8 = noise(8, 1);

/** The session with one channel set otherwise. */
const having = (name: string, settings: Partial<Channel>): SessionDocument => ({
  ...session,
  channels: session.channels.map((one) => (one.name === name ? { ...one, ...settings } : one)),
});
const without = (name: string) => mixOf(having(name, { mute: true }));
const shifted = (plane: Float32Array, samples: number) => plane.map((_, i) => plane[i - samples] ?? 0);
const moving = (name: string, change: (plane: Float32Array) => Float32Array) =>
  mixOf(session, new Map([...sources, [name, (sources.get(name) ?? []).map(change)]]));
const times = (planes: Planes, gain: number) => planes.map((plane) => plane.map((x) => gain * x));

/** Whole numbers of so many bits, with triangular dither or without. */
function rounded(planes: Planes, bits: number, seed: number | null): Planes {
  const random = seed === null ? null : seededRandom(seed);
  const scale = 2 ** (bits - 1);
  return planes.map((plane) => plane.map((x) => Math.round(x * scale + (random ? random() - random() : 0)) / scale));
}

function check(
  original: Planes,
  { rate = RATE, document = session, sounds = sources as ReadonlyMap<string, Planes> } = {},
): ImportCheck {
  const planes = original.map((plane) => resample(plane, rate, RATE));
  const cleanMixPlanes = document === session && sounds === sources ? mix : mixOf(document, sounds);
  const stems = sessionStems(document, sounds);
  return runToEnd(importCheck({ cleanMix: cleanMixPlanes, stems }, { planes, sampleRate: rate, original }, RATE));
}

const cases: readonly (readonly [name: string, make: () => Planes, verdict: ImportVerdict, says: RegExp])[] = [
  // What is right.
  ['as it stands', () => mix, 'stands', /nothing at all is left/],
  ['at 24 bit', () => rounded(mix, 24, null), 'stands', /as exact as 24 bit allows/],
  ['at 16 bit with dither', () => rounded(mix, 16, 1), 'stands', /as exact as 16 bit allows/],
  [
    'at 16 bit and 6 dB down',
    () => rounded(times(mix, 0.5), 16, 2),
    'offset',
    /as exact as 16 bit allows.*6\.02 dB softer/,
  ],
  [
    'at 16 bit and 40 dB down, undithered',
    () => rounded(times(mix, 0.01), 16, null),
    'offset',
    /as exact as 16 bit allows.*40\.00 dB softer/,
  ],
  [
    'upside down and later',
    () =>
      times(
        mix.map((plane) => join(new Float32Array(480), plane)),
        -1,
      ),
    'offset',
    /480 samples \(30\.00 ms\) later than the session.*opposite polarity/,
  ],
  // Lengths.
  ['cut to 3 s', () => mix.map((plane) => plane.slice(0, 3 * RATE)), 'length', /ends 1\.00 s early/],
  ['begun 2 s late', () => mix.map((plane) => plane.slice(2 * RATE)), 'length', /begins 2\.0\d? s late/],
  [
    'with noise behind it',
    () => mix.map((plane, side) => join(plane, whiteNoise(5 * RATE, 0.05, 30 + side))),
    'length',
    /5\.0\d? s of sound behind the session's end, up to −\d+\.\d dBFS/,
  ],
  ['with silence behind it', () => mix.map((plane) => join(plane, new Float32Array(RATE))), 'stands', /nothing at all/],
  // Sides.
  ['swapped', () => [mix[1], mix[0]], 'channels', /Left and right are swapped/],
  [
    'left turned over',
    () => [times(mix, -1)[0], mix[1]],
    'channels',
    /left side of your mixdown has the opposite polarity/,
  ],
  [
    'right turned over',
    () => [mix[0], times(mix, -1)[1]],
    'channels',
    /right side of your mixdown has the opposite polarity/,
  ],
  ['both turned over', () => times(mix, -1), 'offset', /Your mixdown has the opposite polarity/],
  ['mono', () => [mix[0].map((x, i) => 0.5 * (x + mix[1][i]))], 'channels', /is mono/],
  ['left on both sides', () => [mix[0], mix[0]], 'channels', /Both sides of your mixdown are the session’s left one/],
  [
    'right missing',
    () => [mix[0], new Float32Array(mix[0].length)],
    'channels',
    /right side of your mixdown is silent/,
  ],
  [
    'leaning',
    () => [mix[0], times(mix, 10 ** (2 / 20))[1]],
    'channels',
    /right side of your mixdown is 2\.00 dB louder/,
  ],
  // Stems.
  [
    'without the loudest',
    () => without('Bass'),
    'stems',
    /^Bass is missing in your mixdown\. Apart from that, nothing but rounding is left\.$/,
  ],
  ['without the softest', () => without('Shaker'), 'stems', /^Shaker is missing/],
  ['one 3 dB low', () => mixOf(having('Bass', { gainDb: -1 })), 'stems', /^Bass is 3\.0 dB low/],
  [
    'one 0.5 dB high, at 16 bit',
    () => rounded(mixOf(having('Melodica', { gainDb: -2.5 })), 16, 3),
    'stems',
    /^Melodica is 0\.5 dB high.*as exact as 16 bit/,
  ],
  [
    'one twice',
    () => mixOf(having('Frame drum', { gainDb: 20 * Math.log10(2) })),
    'stems',
    /^Frame drum is there twice \(\+6\.0 dB\)/,
  ],
  [
    'one turned over',
    () => moving('Accordion', (plane) => plane.map((x) => -x)),
    'stems',
    /^Accordion is of opposite polarity/,
  ],
  [
    'one late',
    () => moving('Bass', (plane) => shifted(plane, 441)),
    'stems',
    /^Bass is 441 samples \(27\.56 ms\) late in your mixdown\. Apart from that, nothing but rounding is left\.$/,
  ],
  [
    'one early, and low',
    () => moving('Frame drum', (plane) => shifted(plane, -2000).map((x) => 0.5 * x)),
    'stems',
    /^Frame drum is 2000 samples .* early and 6\.0 dB low/,
  ],
  ['one elsewhere in the width', () => mixOf(having('Melodica', { pan: 40 })), 'stems', /^Melodica is further right/],
  [
    'two at once, and all 4 dB down',
    () =>
      times(
        mixOf({
          ...having('Shaker', { mute: true }),
          channels: having('Shaker', { mute: true }).channels.map((one) =>
            one.name === 'Bass' ? { ...one, gainDb: 4 } : one,
          ),
        }),
        10 ** (-4 / 20),
      ),
    'stems',
    /Bass is 2\.0 dB high.*Shaker is missing.*4\.00 dB softer/,
  ],
  // Processing.
  [
    'clipped',
    () => clipped(times(mix, 1), 0.5),
    'clipped',
    /is clipped at 0:0\d.*samples lie flat at its peak of −\d+\.\d dBFS/,
  ],
  [
    'with a lift of the lows',
    () => lifted(mix),
    'differs',
    /10\.\d dB below the mixdown.*One filter over the whole mix explains nearly all/,
  ],
  [
    'squeezed a little',
    () => mix.map((plane) => plane.map((x) => x - 0.02 * x ** 3)),
    'close',
    /close to your mixdown/,
  ],
  // Others.
  ['other noise', () => [noise(90), noise(91)], 'unrelated', /not the same recording.*correlation is at most 0\.\d\d/],
  [
    'another take',
    () =>
      mixOf(
        session,
        new Map(
          [...sources.keys()].map((name, i) => [
            name,
            i === 2 ? [bursts(SECONDS * RATE, RATE, 0.5, 77)] : [line(60 + i, 300 - 30 * i)],
          ]),
        ),
      ),
    'unrelated',
    /not the same recording/,
  ],
  ['silence', () => [new Float32Array(RATE)], 'silent', /silent/],
];

function join(a: Float32Array, b: Float32Array): Float32Array {
  const out = new Float32Array(a.length + b.length);
  out.set(a);
  out.set(b, a.length);
  return out;
}

function clipped(planes: Planes, share: number): Planes {
  const peak = share * planes.reduce((most, plane) => plane.reduce((a, x) => Math.max(a, Math.abs(x)), most), 0);
  return planes.map((plane) => plane.map((x) => Math.max(-peak, Math.min(peak, x))));
}

function lifted(planes: Planes): Planes {
  const coefficient = 1 - Math.exp((-2 * Math.PI * 100) / RATE);
  return planes.map((plane) => {
    let low = 0;
    return plane.map((x) => {
      low += coefficient * (x - low);
      return x + low;
    });
  });
}

describe('a mixdown', () => {
  it.each(cases)('%s', (name, make, verdict, says) => {
    const found = check(make());
    const text = found.sentences.join(' ');
    console.log(`${name}: ${found.verdict}: ${text}`);
    expect([found.verdict, text]).toEqual([verdict, expect.stringMatching(says)]);
  });
});

describe('a right mixdown at another rate', () => {
  // Noise reaches up to half the rate: above 0.9 of it every resampler differs. The session's own content is all there.
  it.each([32_000, 14_700])('of %s Hz is judged in the band that both hold, and says so', (rate) => {
    const found = check(
      mix.map((plane) => resample(plane, RATE, rate)),
      { rate },
    );
    expect(found.verdict).toBe('stands');
    expect(found.comparison.bandHz).toBeCloseTo(0.45 * Math.min(rate, RATE) - 0.0392 * RATE, -3);
    expect(found.sentences.at(-1)).toMatch(/compared up to [56]\.\d kHz/);
  });

  it('names a stem there too', () => {
    const planes = without('Shaker').map((plane) => resample(plane, RATE, 32_000));
    expect(check(planes, { rate: 32_000 }).stems).toMatchObject([{ name: 'Shaker', differences: ['missing'] }]);
  });
});

describe('stems', () => {
  it('that are muted here and sound there are named', () => {
    const found = check(mix, { document: having('Accordion', { mute: true }) });
    expect(found.stems).toMatchObject([{ name: 'Accordion', differences: ['muted-here'] }]);
    expect(found.sentences[0]).toBe('Accordion is muted here, but sounds in your mixdown.');
  });

  it('that are the same sound are named together', () => {
    const document = { ...session, channels: [...session.channels, channel('Bass again', { gainDb: 2 })] };
    const sounds = new Map([...sources, ['Bass again', sources.get('Bass') ?? []]]);
    const found = check(mix, { document, sounds });
    expect(found.stems).toMatchObject([{ name: 'Bass or Bass again', differences: ['low'] }]);
    expect(found.stems[0].levelDb).toBeCloseTo(20 * Math.log10(1 / 2), 3);
  });
});

describe('an exact excerpt', () => {
  it('wins over a louder place like it', () => {
    const at = 3 * RATE;
    const a = [bursts(6 * RATE, RATE, 0.4, 8)];
    const b = [a[0].slice(at, at + RATE)];
    // The same second earlier, 9 dB louder and with a trace of something else.
    for (let i = 0; i < RATE; i++) a[0][RATE + i] = 2.8 * b[0][i] + 0.004 * noise8[i];
    const found = runToEnd(compareSounds(a, b, RATE));
    expect(found).toMatchObject({ delaySamples: -at, identical: true });
  });
});

describe.each(recordingNames())('a session of %s and others', (name) => {
  it('tells which of them is missing or low at 16 bit', () => {
    const { planes, sampleRate } = realRecording(name);
    const heard = planes.map((plane) => plane.slice(0, 2 * sampleRate));
    const peak = heard.reduce((most, plane) => plane.reduce((a, x) => Math.max(a, Math.abs(x)), most), 1e-9);
    const start = times(heard, 0.1 / peak);
    const document: SessionDocument = {
      ...emptySession(sampleRate, 'Harbour Hall'),
      channels: [channel('Recording', { gainDb: -2, pan: -20 }), channel('Melodica'), channel('Bass', { gainDb: -4 })],
    };
    const sounds = new Map<string, Planes>([
      ['Recording', start],
      ['Melodica', [line(1, 440).slice(0, 2 * sampleRate)]],
      ['Bass', [line(6, 55).slice(0, 2 * sampleRate)]],
    ]);
    const cleanMixPlanes = mixOf(document, sounds);
    const told = (change: Partial<Channel>) => {
      const channels = document.channels.map((one) => (one.name === 'Recording' ? { ...one, ...change } : one));
      const original = rounded(mixOf({ ...document, channels }, sounds), 16, 9);
      const stems = sessionStems(document, sounds);
      const input = { planes: original, sampleRate, original };
      return runToEnd(importCheck({ cleanMix: cleanMixPlanes, stems }, input, sampleRate)).stems;
    };
    expect(told({ mute: true })).toMatchObject([{ name: 'Recording', differences: ['missing'] }]);
    const [low, ...others] = told({ gainDb: -5 });
    expect([low?.name, low?.differences, others]).toEqual(['Recording', ['low'], []]);
    expect(low.levelDb).toBeCloseTo(-3, 1);
  });
});
