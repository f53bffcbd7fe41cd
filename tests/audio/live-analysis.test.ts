import { describe, expect, it } from 'vitest';
import { LiveAnalysis } from '../../src/audio/live-analysis.ts';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import type { LiveFrame } from '../../src/stores/live-store.ts';
import { DEFAULT_ANALYSER, NOTHING_DBFS } from '../../src/stores/live-store.ts';

const RATE = 48000;
const BLOCK = 640;

function run(
  seconds: number,
  clean: (t: number) => number,
  coloured: (t: number) => number,
  analysis = new LiveAnalysis(),
  settings = 1,
): LiveFrame {
  analysis.reset('rack');
  let frame: LiveFrame | undefined;
  for (let at = 0; at < seconds * RATE; at += BLOCK) {
    const plane = (value: (t: number) => number) =>
      Float32Array.from({ length: BLOCK }, (_, i) => value((at + i) / RATE));
    const [a, b] = [plane(clean), plane(coloured)];
    frame = analysis.push([a, a, b, b], RATE, { at, settings });
  }
  return frame as LiveFrame;
}

const sine = (hz: number, amplitude: number) => (t: number) => amplitude * Math.sin(2 * Math.PI * hz * t);
const at = (frame: LiveFrame, curve: Float32Array, hz: number) => {
  let best = 0;
  frame.frequencies.forEach((f, i) => {
    if (Math.abs(Math.log(f / hz)) < Math.abs(Math.log(frame.frequencies[best] / hz))) best = i;
  });
  return Math.max(...curve.subarray(Math.max(0, best - 1), best + 2));
};

describe('LiveAnalysis', () => {
  it.each([40, 100, 997, 9970])("reads a sine's peak level at %d Hz on the log axis in every stretch", (hz) => {
    const frame = run(3, sine(hz, 0.5), sine(hz, 0.25));
    expect(at(frame, frame.clean, hz)).toBeCloseTo(20 * Math.log10(0.5), 1);
    expect(at(frame, frame.coloured, hz)).toBeCloseTo(20 * Math.log10(0.25), 1);
    expect(frame.cleanPeakDbfs).toBeCloseTo(-6.02, 1);
  });

  it('names the strongest tone and its harmonics', () => {
    const frame = run(2, sine(440, 0.3), (t) => sine(440, 0.3)(t) + sine(1320, 0.003)(t));
    expect(frame.tone?.hz).toBeCloseTo(440, 0);
    expect(frame.tone?.harmonics.find(({ n }) => n === 3)?.dbc).toBeCloseTo(-40, 1);
    expect(frame.tone?.dbfs).toBeCloseTo(20 * Math.log10(0.3), 1);
    expect(
      run(
        0.5,
        () => 0,
        () => 0,
      ).tone,
    ).toBeNull();
  });

  it('holds peaks of one setting only', () => {
    const analysis = new LiveAnalysis();
    analysis.set({ ...DEFAULT_ANALYSER, peakHold: true, averageSeconds: 0.05, points: 4096 });
    const block = (amplitude: number, at: number) =>
      Float32Array.from({ length: BLOCK }, (_, i) => sine(1000, amplitude)((at + i) / RATE));
    let frame: LiveFrame | undefined;
    for (let at = 0; at < RATE; at += BLOCK) {
      const settings = at < RATE / 2 ? 1 : 2;
      const plane = block(settings === 1 ? 0.5 : 0.05, at);
      frame = analysis.push([plane, plane, plane, plane], RATE, { at, settings });
    }
    expect(frame?.settings).toBe(2);
    // A sine of 0.05 is −26.0 dBFS; six time constants leave −26 dB of the −6.0 before, and both add up.
    const held = at(frame as LiveFrame, frame?.colouredHold as Float32Array, 1000);
    expect(held).toBeGreaterThan(-26.1);
    expect(held).toBeLessThan(-24.5);
  });

  it('shows DC apart and not as sub-bass', () => {
    const frame = run(3, sine(200, 0.1), (t) => sine(200, 0.1)(t) + 0.01);
    expect(frame.colouredDcDbfs).toBeCloseTo(-40, 1);
    expect(frame.cleanDcDbfs).toBeLessThan(-100);
    expect(at(frame, frame.coloured, 20)).toBeLessThan(-100);
  });

  it('tells slow products of the envelope from real bass', () => {
    const random = seededRandom(3);
    const beat = (t: number) => 0.2 * Math.sin(2 * Math.PI * 500 * t) * (1 + Math.sin(2 * Math.PI * 3 * t));
    const hiss = () => 1e-6 * gaussian(random);
    // x + 0.5x² of a beating tone makes a 3 Hz product of 0.5·0.2²·½·2 = 0.02 peak, which AES17 calls −33.98 dBFS, and
    // one of 6 Hz at a quarter of that.
    const frame = run(
      14,
      (t) => beat(t) + hiss(),
      (t) => beat(t) + 0.5 * beat(t) ** 2 + hiss(),
    );
    expect(frame.slowProductsDbfs).toBeGreaterThan(-34.6);
    expect(frame.slowProductsDbfs).toBeLessThan(-33.0);
    expect(frame.lowBand).not.toBeNull();
    // A real 8 Hz tone on both sides is no product.
    const bass = run(
      14,
      (t) => sine(8, 0.2)(t) + hiss(),
      (t) => sine(8, 0.2)(t) + hiss(),
    );
    expect(bass.slowProductsDbfs).toBeLessThan(-75);
    const low = bass.lowBand as NonNullable<LiveFrame['lowBand']>;
    const eight = low.frequencies.findIndex((f) => f >= 8);
    expect(Math.max(...low.coloured.subarray(eight - 2, eight + 2))).toBeGreaterThan(-15);
  });

  it('says nothing of the low band before it has heard enough', () => {
    const frame = run(1, sine(50, 0.1), sine(50, 0.1));
    expect(frame.lowBand).toBeNull();
    expect(frame.slowProductsDbfs).toBeNull();
  });

  it('holds peaks only when told to', () => {
    const analysis = new LiveAnalysis();
    analysis.set({ ...DEFAULT_ANALYSER, peakHold: true, averageSeconds: 0.05, points: 4096 });
    const burst = (t: number) => (t < 0.5 ? sine(1000, 0.5)(t) : 0);
    const frame = run(2, burst, burst, analysis);
    expect(at(frame, frame.coloured, 1000)).toBeLessThan(-60);
    expect(at(frame, frame.colouredHold as Float32Array, 1000)).toBeGreaterThan(-7);
    expect(run(0.5, burst, burst).colouredHold).toBeNull();
  });

  it('reads white noise as its density: 2·σ²/fs per hertz, one-sided', () => {
    const analysis = new LiveAnalysis();
    analysis.set({ ...DEFAULT_ANALYSER, scale: 'density', averageSeconds: 5, points: 4096 });
    const random = seededRandom(11);
    const noise = () => 0.1 * gaussian(random);
    const frame = run(6, noise, noise, analysis);
    // Where bands are narrower than bins the curve is interpolated, not the maximum of several.
    const value = frame.clean.filter((_, i) => frame.frequencies[i] > 200 && frame.frequencies[i] < 400);
    const mean = value.reduce((a, b) => a + 10 ** (b / 10), 0) / value.length;
    expect(10 * Math.log10(mean)).toBeCloseTo(10 * Math.log10((2 * 0.01) / RATE), 0);
  });

  it('is finite for NaN-free silence and for a changed rate', () => {
    const analysis = new LiveAnalysis();
    run(
      0.5,
      () => 0,
      () => 0,
      analysis,
    );
    const plane = new Float32Array(BLOCK);
    const frame = analysis.push([plane, plane, plane, plane], 44100, { at: 0, settings: 1 });
    for (const value of [...frame.clean, ...frame.coloured, ...frame.added]) expect(value).toBe(NOTHING_DBFS);
  });
});
