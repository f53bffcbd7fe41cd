/** Calibration: a sine's peak level; added: closed form of a known polynomial (docs/reference-values.md, section 3). */
import { describe, expect, it } from 'vitest';
import { PairSpectrum } from '../../src/dsp/pair-spectrum.ts';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { powerToDb } from '../../src/dsp/units.ts';

const SIZE = 8192;
const RATE = 48000;
const options = { size: SIZE, sampleRate: RATE, window: 'blackmanHarris4', timeConstant: 5 } as const;
const hz = (bin: number) => (bin * RATE) / SIZE;

function planes(length: number, value: (i: number) => number): Float32Array[] {
  const plane = Float32Array.from({ length }, (_, i) => value(i));
  return [plane, plane];
}

function fed(first: Float32Array[], second: Float32Array[]): PairSpectrum {
  const pair = new PairSpectrum(options);
  for (let at = 0; at + SIZE <= first[0].length; at += SIZE / 4) pair.push(first, second, at, SIZE / 4 / RATE);
  return pair;
}

describe('PairSpectrum', () => {
  it("reads a sine's peak level on both sides and nothing as added by a gain and a delay", () => {
    const tone = (i: number) => 0.5 * Math.sin((2 * Math.PI * hz(200) * i) / RATE);
    const pair = fed(
      planes(RATE, tone),
      planes(RATE, (i) => 0.25 * tone(i - 3)),
    );
    expect(powerToDb(pair.first[200])).toBeCloseTo(-6.0206, 2);
    expect(powerToDb(pair.second[200])).toBeCloseTo(-18.0618, 2);
    expect(powerToDb(pair.added[200])).toBeLessThan(-100);
  });

  it('shows as added what no linear filter explains: the second harmonic of x + 0.05x², at a₂A²/2', () => {
    const random = seededRandom(7);
    // A little noise on both, or the harmonic's bin would hold nothing of the first signal to be explained by.
    const noise = Float32Array.from({ length: 8 * RATE }, () => 1e-5 * gaussian(random));
    const tone = (i: number) => 0.5 * Math.sin((2 * Math.PI * hz(300) * i) / RATE) + noise[i];
    const pair = fed(
      planes(8 * RATE, tone),
      planes(8 * RATE, (i) => tone(i) + 0.05 * tone(i) ** 2),
    );
    expect(powerToDb(pair.added[600])).toBeCloseTo(20 * Math.log10(0.00625), 0);
    expect(powerToDb(pair.added[300])).toBeLessThan(powerToDb(pair.second[300]) - 60);
    // DC = a₂A²/2 is kept apart.
    expect(pair.secondDc).toBeCloseTo(0.00625, 4);
    expect(powerToDb(pair.second[2])).toBeLessThan(-90);
  });

  it('keeps a −40 dBFS offset apart: it reads −40.0 ± 0.05 beside a 20 Hz tone and leaves no trace', () => {
    const size = 65536;
    const wide = { ...options, size };
    const pair = new PairSpectrum(wide);
    const tone = (i: number) => 0.1 * Math.sin((2 * Math.PI * 20 * i) / RATE);
    const offset = planes(size, (i) => tone(i) + 0.01);
    pair.push(planes(size, tone), offset, 0, 1);
    expect(powerToDb(pair.secondDc ** 2)).toBeGreaterThan(-40.05);
    expect(powerToDb(pair.secondDc ** 2)).toBeLessThan(-39.95);
    const plain = pair.first;
    for (let bin = 1; bin < size / 2; bin++) {
      // Away from the tone's own main lobe the two spectra hold nothing; within it they are alike.
      if (Math.abs(bin * (RATE / size) - 20) > 4) expect(powerToDb(pair.second[bin] + 1e-30)).toBeLessThan(-100);
      else expect(Math.abs(powerToDb(pair.second[bin]) - powerToDb(plain[bin]))).toBeLessThan(0.05);
    }
  });

  it('refuses sizes that are no power of two', () => {
    expect(() => new PairSpectrum({ ...options, size: 1000 })).toThrow(RangeError);
  });
});
