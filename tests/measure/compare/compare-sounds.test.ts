/** Two recordings against each other: known delays, gains and filters, and what they must give. */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../../src/dsp/random.ts';
import { THIRD_OCTAVE_CENTRES } from '../../../src/dsp/third-octaves.ts';
import type { Comparison } from '../../../src/measure/compare/compare-sounds.ts';
import { compareSounds } from '../../../src/measure/compare/compare-sounds.ts';
import { runToEnd } from '../../../src/render/run-steps.ts';
import { realRecording, recordingNames } from '../../support/real-recordings.ts';
import { bursts, whiteNoise } from '../sessions.ts';

/** A third of the usual rate, which the recordings have. */
const RATE = 16_000;
const compare = (a: Float32Array[], b: Float32Array[], rate = RATE): Comparison => runToEnd(compareSounds(a, b, rate));

/** b[n] = gain·a[n − samples], with silence before. */
function delayed(planes: Float32Array[], samples: number, gain = 1): Float32Array[] {
  return planes.map((plane) => {
    const out = new Float32Array(Math.max(0, plane.length + samples));
    for (let i = 0; i < out.length; i++) out[i] = gain * (plane[i - samples] ?? 0);
    return out;
  });
}

/** Many sines up to 0.44 of the rate under a slow envelope, at any moment: delayed by any fraction exactly. */
function sines(length: number, late: number, seed: number): Float32Array {
  const random = seededRandom(seed);
  const partials = Array.from({ length: 60 }, () => ({
    w: 2 * Math.PI * (0.001 + 0.439 * random()),
    phase: 2 * Math.PI * random(),
  }));
  return Float32Array.from({ length }, (_, i) => {
    const t = i - late;
    let sum = 0;
    for (const { w, phase } of partials) sum += Math.sin(w * t + phase);
    return 0.02 * sum * (1 + 0.5 * Math.sin(2 * Math.PI * 1e-5 * t));
  });
}

/** Paths of all numbers in a value that are NaN or infinite: JSON would write them as null. */
function notFinite(value: unknown, path = ''): string[] {
  if (typeof value === 'number') return Number.isFinite(value) ? [] : [path];
  if (value === null || typeof value !== 'object') return [];
  return Object.entries(value).flatMap(([key, inner]) => notFinite(inner, `${path}/${key}`));
}

const stereo = () => [bursts(4 * RATE, RATE, 1, 1), bursts(4 * RATE, RATE, 0.8, 2)];

describe('whole samples', () => {
  it.each([0, 1, -1, 7, 195, -4410, 20_001, 3 * RATE])('finds a delay of %s', (samples) => {
    const a = stereo();
    const found = compare(a, delayed(a, samples));
    expect(found).toMatchObject({
      delayWholeSamples: samples,
      delayFractionSamples: 0,
      delaySamples: samples,
      polarity: 'same',
      identical: true,
      residualDb: null,
      framesB: 4 * RATE + samples,
    });
    expect(found.gainDb).toBeCloseTo(0, 12);
    expect(found.delaySeconds).toBeCloseTo(samples / RATE, 12);
    expect(found.correlation).toBeCloseTo(1, 6);
  });

  it('finds a pre-roll longer than any stretch it looks at, in files of different lengths', () => {
    const a = stereo();
    const b = delayed(a, 12 * RATE + 345).map((plane) => plane.subarray(0, 14 * RATE));
    expect(compare(a, b)).toMatchObject({ delaySamples: 12 * RATE + 345, overlapFrames: 2 * RATE - 345 });
    expect(compare(b, a)).toMatchObject({ delaySamples: -12 * RATE - 345 });
  });

  it('of steady noise, whose envelope says nothing', () => {
    const a = [whiteNoise(3 * RATE, 0.05, 5)];
    expect(compare(a, delayed(a, 1234)).delaySamples).toBe(1234);
  });
});

describe('fractions of a sample', () => {
  it.each([0.5, 0.25, -0.37, 0.01, 100.123, -2000.499])('finds %s and nulls', (late) => {
    const a = [sines(2 * RATE, 0, 3), sines(2 * RATE, 0, 4)];
    const b = [sines(2 * RATE, late, 3), sines(2 * RATE, late, 4)];
    const found = compare(a, b);
    expect(Math.abs(found.delaySamples! - late)).toBeLessThan(1e-4);
    expect(Math.abs(found.delayFractionSamples!)).toBeLessThan(0.5001);
    expect(Math.abs(found.gainDb!)).toBeLessThan(1e-3);
    // Only the filter's ends, where the sines begin at once, are left.
    expect(found.residualDb).toBeLessThan(-35);
  });

  it('leaves below −100 dB of a sound that begins and ends softly', () => {
    const window = (plane: Float32Array, late: number) =>
      plane.map((x, i) => x * Math.sin((Math.PI * Math.min(2 * RATE, Math.max(0, i - late))) / (2 * RATE)) ** 2);
    const late = 31.3;
    const found = compare([window(sines(2 * RATE, 0, 3), 0)], [window(sines(2 * RATE, late, 3), late)]);
    expect(Math.abs(found.delaySamples! - late)).toBeLessThan(1e-5);
    console.log(
      `fraction of a sample: off by ${Math.abs(found.delaySamples! - late).toExponential(1)}, ${found.residualDb?.toFixed(1)} dB left`,
    );
    expect(found.residualDb).toBeLessThan(-100);
  });
});

describe('gain and polarity', () => {
  it.each([-6.02, 0.3, 12, -40])('finds %s dB, in dB and in LU', (db) => {
    const a = stereo();
    const found = compare(a, delayed(a, 16, 10 ** (db / 20)));
    expect(found.gainDb).toBeCloseTo(db, 4);
    expect(found.truePeakChangeDb).toBeCloseTo(db, 3);
    // Further down the absolute gate at −70 LUFS takes part.
    if (db > -20) expect([found.plrChangeDb!, found.gainLu! - db].map(Math.abs).every((off) => off < 2e-3)).toBe(true);
    expect(found.residualDb).toBeLessThan(-140);
  });

  it('finds the opposite polarity', () => {
    const a = stereo();
    expect(compare(a, delayed(a, 9, -0.5))).toMatchObject({ delaySamples: 9, polarity: 'inverted' });
  });

  it('counts one channel as on both sides', () => {
    const [mono] = stereo();
    expect(compare([mono], [mono, mono])).toMatchObject({ identical: true, gainLu: 0 });
  });
});

describe('a filter', () => {
  // y = x + α·(x one sample earlier + x one later) turns no phase: H = 1 + 2α·cos ω. Of white noise it leaves 2α² of 1 + 2α².
  const alpha = 0.1;
  const rate = 48_000;
  const x = whiteNoise(8 * rate, 0.05, 11);
  const y = x.map((value, i) => value + alpha * ((x[i - 1] ?? 0) + (x[i + 1] ?? 0)));
  const found = compare([x], [y], rate);

  it('leaves what the closed form says', () => {
    expect(found.delaySamples).toBe(0);
    expect(found.residualDb).toBeCloseTo(10 * Math.log10((2 * alpha ** 2) / (1 + 2 * alpha ** 2)), 1);
    expect(found.gainDb).toBeCloseTo(0, 1);
  });

  it('shows in every third octave: the level, and what is left', () => {
    const gain = 10 ** (found.gainDb! / 20);
    found.bands.forEach(({ hz, differenceDb, residualDb }, i) => {
      if (hz > 12_500) return;
      const h = 1 + 2 * alpha * Math.cos((2 * Math.PI * THIRD_OCTAVE_CENTRES[i]) / rate);
      expect(differenceDb).toBeCloseTo(20 * Math.log10(h), 1);
      // Where what is left crosses zero within the band, its middle says nothing.
      if (hz < 8000) expect(Math.abs(residualDb! - 20 * Math.log10(Math.abs(h - gain) / h))).toBeLessThan(0.3);
    });
  });

  it('is found to be no delay, and noise that has nothing in common no match', () => {
    const other = compare([x], [whiteNoise(8 * rate, 0.05, 12)], rate);
    // Of so many lags the best is some errors away: 1/√384 000 is 0.0016 for one.
    expect(other.correlation).toBeLessThan(0.03);
    expect(other).toMatchObject({ related: false, delaySamples: null, gainDb: null, polarity: null, residualDb: null });
    expect(found.correlation).toBeGreaterThan(0.98);
  });
});

describe('peaks', () => {
  it('a clip lowers the true peak and the peak to loudness ratio', () => {
    const a = stereo();
    const most = a[0].reduce((best, value) => Math.max(best, Math.abs(value)), 0);
    const b = a.map((plane) => plane.map((value) => Math.max(-most / 2, Math.min(most / 2, value))));
    const { plrChangeDb, truePeakChangeDb } = compare(a, b);
    expect(truePeakChangeDb).toBeLessThan(-3);
    expect(plrChangeDb! - truePeakChangeDb!).toBeGreaterThan(0);
    expect(plrChangeDb).toBeLessThan(-2);
  });
});

describe('nothing to compare', () => {
  it.each([
    [[new Float32Array(RATE)], stereo()],
    [stereo(), [new Float32Array(RATE)]],
  ])('silence gives null, never NaN', (a, b) => {
    const found = compare(a, b);
    expect(found).toMatchObject({ delaySamples: null, gainDb: null, residualDb: null, identical: false });
    expect(notFinite(found)).toEqual([]);
  });

  it('a sound shorter than any frame', () => {
    const a = [whiteNoise(900, 0.1, 3)];
    expect(compare(a, delayed(a, 3))).toMatchObject({ delaySamples: 3, identical: true });
  });
});

describe.each(recordingNames())('%s', (name) => {
  it('is found later, softer, upside down and dithered', () => {
    const { planes: whole, sampleRate } = realRecording(name);
    const planes = whole.map((plane) => plane.subarray(0, 4 * sampleRate));
    const random = seededRandom(4);
    const b = delayed(planes, 4321, -0.7).map((plane) =>
      plane.map((value) => Math.round(value * 32768 + random() - random()) / 32768),
    );
    const found = compare(planes, b, sampleRate);
    expect(found).toMatchObject({ delaySamples: 4321, polarity: 'inverted' });
    expect(found.gainDb).toBeCloseTo(20 * Math.log10(0.7), 2);
    expect(found.residualDb).toBeLessThan(-30);
  });
});
