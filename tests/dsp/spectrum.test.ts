import { describe, expect, it } from 'vitest';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { logBandCentre, logBands, SpectrumAnalyser } from '../../src/dsp/spectrum.ts';
import { sine } from '../../src/dsp/tones.ts';
import { enbw, makeWindow, WINDOW_NAMES } from '../../src/dsp/windows.ts';
import { near } from './near.ts';

const RATE = 48_000;
const SIZE = 4096;
const dB = (power: number) => 10 * Math.log10(power);

describe('SpectrumAnalyser', () => {
  it('reads a sine’s peak level on its bin and nothing else beyond the main lobe', () => {
    for (const window of WINDOW_NAMES) {
      const analyser = new SpectrumAnalyser(SIZE, window, RATE);
      analyser.push(sine(SIZE, RATE, analyser.frequencyOf(100), 0.25));
      near(dB(analyser.power[100]), 20 * Math.log10(0.25), 1e-9, window);
      expect(dB(Math.max(...analyser.power.subarray(110)))).toBeLessThan(-250);
    }
  });

  it('keeps DC apart: exact value, no skirt, low tones untouched', () => {
    for (const window of WINDOW_NAMES) {
      const analyser = new SpectrumAnalyser(SIZE, window, RATE);
      analyser.push(new Float64Array(SIZE).fill(0.7));
      near(analyser.dc, 0.7, 1e-14);
      expect(Math.max(...analyser.power), window).toBeLessThan(1e-28);
    }
    // A tone of 12.3 bins, neither whole periods nor far from DC, with and without DC.
    const analyser = new SpectrumAnalyser(SIZE, 'blackmanHarris7', RATE);
    const tone = sine(SIZE, RATE, analyser.frequencyOf(12.3), 0.1);
    analyser.push(tone);
    const alone = analyser.power.slice();
    analyser.reset();
    analyser.push(tone.map((x) => x + 0.5));
    near(analyser.dc, 0.5, 1e-9);
    for (let bin = 8; bin < 18; bin++) near(dB(analyser.power[bin]), dB(alone[bin]), 1e-6);
  });

  it('averages power with its time constant', () => {
    const analyser = new SpectrumAnalyser(256, 'hann', RATE);
    analyser.timeConstant = 0.5;
    const tone = sine(256, RATE, analyser.frequencyOf(20), 1);
    analyser.push(new Float64Array(256), 0, 0.1);
    // Five hops of 0.1 s are one time constant: 1 − 1/e of the way.
    for (let i = 0; i < 5; i++) analyser.push(tone, 0, 0.1);
    near(analyser.power[20], 1 - Math.exp(-1), 1e-12);
    analyser.reset();
    analyser.push(tone, 0, 0.1);
    near(analyser.power[20], 1, 1e-12, 'the first frame stands for itself');
  });

  it('gives noise its density', () => {
    const random = seededRandom(5);
    const analyser = new SpectrumAnalyser(1024, 'nuttall4c', RATE);
    analyser.timeConstant = 1000;
    let sum = 0;
    for (let frame = 0; frame < 300; frame++) {
      analyser.reset();
      analyser.push(Float64Array.from({ length: 1024 }, () => 0.1 * gaussian(random)));
      sum += analyser.power.subarray(10, 500).reduce((total, power) => total + power, 0) / 490;
    }
    const binWidth = RATE / 1024;
    const density = sum / 300 / (2 * enbw(makeWindow('nuttall4c', 1024)) * binWidth);
    near(density * (RATE / 2), 0.01, 0.0003);
  });

  it('reads the line at half the rate like any other', () => {
    const analyser = new SpectrumAnalyser(64, 'hann', RATE);
    analyser.push(Float64Array.from({ length: 64 }, (_, i) => (i % 2 === 0 ? 0.5 : -0.5)));
    near(analyser.power[32], 0.25, 1e-12);
  });

  it('takes what is missing or not finite as 0', () => {
    const analyser = new SpectrumAnalyser(64, 'hann', RATE);
    analyser.push(Float32Array.of(1, Number.NaN, Infinity));
    expect([...analyser.power].every(Number.isFinite)).toBe(true);
    analyser.push(new Float32Array(10), 50);
    expect(Math.max(...analyser.power)).toBe(0);
    expect(() => new SpectrumAnalyser(1000, 'hann', RATE)).toThrow(RangeError);
  });
});

describe('logBands', () => {
  const axis = { from: 20, to: 20_000, count: 200 };

  it('loses no line, whether bins crowd or are sparse', () => {
    for (let bin = 2; bin <= 1700; bin++) {
      const power = new Float64Array(2049);
      power[bin] = 0.5;
      expect(Math.max(...logBands(power, RATE, axis)), `bin ${bin}`).toBe(0.5);
    }
  });

  it('puts a line where its frequency is', () => {
    const power = new Float64Array(2049);
    power[427] = 1;
    const bands = logBands(power, RATE, axis);
    const frequency = (427 * RATE) / 4096;
    const step = (axis.to / axis.from) ** (1 / 199);
    const centre = logBandCentre(axis, bands.indexOf(1));
    expect(Math.abs(Math.log(centre / frequency))).toBeLessThanOrEqual(Math.log(step) / 2 + 1e-12);
  });

  it('interpolates where bins are sparse and writes into a given array', () => {
    const power = Float64Array.from({ length: 2049 }, (_, bin) => bin);
    const out = new Float64Array(200);
    expect(logBands(power, RATE, axis, out)).toBe(out);
    near(out[0], (20 * 4096) / RATE, 1e-9);
    near(out[3], (logBandCentre(axis, 3) * 4096) / RATE, 1e-9);
  });

  it('is empty above half the rate', () => {
    const bands = logBands(new Float64Array(513).fill(1), 16_000, axis);
    expect(bands[199]).toBe(0);
    expect(bands[100]).toBe(1);
  });
});
