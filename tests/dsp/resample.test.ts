import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/dsp/random.ts';
import { RESAMPLER_PASSBAND, RESAMPLER_STOPBAND, resample, resampleSteps } from '../../src/dsp/resample.ts';
import { gainToDb } from '../../src/dsp/units.ts';

const SECONDS = 0.5;

function sine(frequency: number, rate: number, frames: number): Float32Array {
  return Float32Array.from({ length: frames }, (_, i) => Math.sin((2 * Math.PI * frequency * i) / rate + 0.3));
}

/**
 * Largest difference from the closed form, dB re the amplitude, away from the ends: there the input stops, and the
 * silence around it rings.
 */
function sineError(frequency: number, from: number, to: number): number {
  const out = resample(sine(frequency, from, Math.round(SECONDS * from)), from, to);
  const margin = Math.ceil((120 * to) / Math.min(from, to));
  let largest = 0;
  for (let n = margin; n < out.length - margin; n++) {
    largest = Math.max(largest, Math.abs(out[n] - Math.sin((2 * Math.PI * frequency * n) / to + 0.3)));
  }
  return gainToDb(largest);
}

const RATES = [44_100, 48_000, 88_200, 96_000, 192_000];
const ODD_PAIRS: [number, number][] = [
  [22_050, 48_000],
  [11_025, 48_000],
  [37_800, 48_000],
  [48_000, 37_800],
  [192_000, 11_025],
];
/** Rates whose ratio has tens of thousands of phases, and one that is not a whole number. */
const FINE_PAIRS: [number, number][] = [
  [44_100, 47_999],
  [48_000, 44_056],
  [44_055.944, 48_000],
];

describe('sines against the closed form', () => {
  const pairs = RATES.flatMap((from) => RATES.filter((to) => to !== from).map((to) => [from, to] as [number, number]));
  for (const [from, to] of [...pairs, ...ODD_PAIRS, ...FINE_PAIRS]) {
    it(`${from} to ${to} Hz: error at most −120 dB in the pass band`, () => {
      const nyquist = Math.min(from, to) / 2;
      const parts = [0.001, 0.05, 0.31, 0.5, 0.7, 0.85, RESAMPLER_PASSBAND];
      const errors = parts.map((part) => sineError(part * nyquist, from, to));
      console.log(`${from} → ${to} Hz: ${errors.map((e) => e.toFixed(1)).join(' ')} dB`);
      for (const error of errors) expect(error).toBeLessThan(-120);
    });
  }

  it('a constant stays constant', () => {
    for (const [from, to] of [...ODD_PAIRS, ...FINE_PAIRS]) {
      const out = resample(new Float32Array(20_000).fill(0.7), from, to);
      const middle = out.subarray(out.length * 0.2, out.length * 0.8);
      const largest = middle.reduce((max, v) => Math.max(max, Math.abs(v - 0.7)), 0);
      expect(gainToDb(largest / 0.7)).toBeLessThan(-120);
    }
  });
});

describe('the stop band', () => {
  for (const [from, to] of [
    [48_000, 44_100],
    [192_000, 48_000],
    [96_000, 37_800],
    [48_000, 44_056],
  ]) {
    it(`${from} to ${to} Hz: what can't be kept is gone by 120 dB, from the Nyquist frequency on`, () => {
      const frequencies = [1, 1.003, 1.02, 1.05].map((part) => (part * RESAMPLER_STOPBAND * to) / 2);
      frequencies.push((from / 2) * 0.98);
      const levels = frequencies.map((frequency) => {
        const out = resample(sine(frequency, from, from / 2), from, to);
        const inner = out.subarray(400, out.length - 400);
        return gainToDb(inner.reduce((max, v) => Math.max(max, Math.abs(v)), 0));
      });
      console.log(`${from} → ${to} Hz, stop band: ${levels.map((level) => level.toFixed(1)).join(' ')} dB`);
      for (const level of levels) expect(level).toBeLessThan(-120);
    });
  }
});

describe('alignment', () => {
  it('an impulse stays where it was, and is symmetrical about it', () => {
    for (const [from, to] of [
      [44_100, 48_000],
      [48_000, 44_100],
      [48_000, 96_000],
      [96_000, 48_000],
      [44_100, 47_999],
    ]) {
      const input = new Float32Array(4 * from);
      // Whole seconds lie on a sample at either rate.
      input[2 * from] = 1;
      const out = resample(input, from, to);
      const centre = 2 * to;
      const peak = out.reduce((best, v, i) => (Math.abs(v) > Math.abs(out[best]) ? i : best), 0);
      expect(peak).toBe(centre);
      for (let i = 1; i < 300; i++) expect(Math.abs(out[centre - i] - out[centre + i])).toBeLessThan(1e-7);
    }
  });

  it('sample 0 is at sample 0', () => {
    const input = new Float32Array(1000);
    input[0] = 1;
    for (const to of [44_100, 96_000, 47_999]) {
      const out = resample(input, 48_000, to);
      expect(out.reduce((best, v, i) => (v > out[best] ? i : best), 0)).toBe(0);
    }
  });
});

describe('shape', () => {
  it('has round(n·to/from) samples', () => {
    for (const length of [0, 1, 2, 147, 1000, 44_101]) {
      for (const [from, to] of [...ODD_PAIRS, ...FINE_PAIRS]) {
        expect(resample(new Float32Array(length), from, to).length).toBe(Math.round((length * to) / from));
      }
    }
  });

  it('at the same rate is an equal copy', () => {
    const input = sine(1000, 48_000, 100);
    const out = resample(input, 48_000, 48_000);
    expect(out).toEqual(input);
    expect(out.buffer).not.toBe(input.buffer);
  });

  it('refuses rates that are none', () => {
    for (const rate of [0, -1, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => resample(new Float32Array(3), rate, 48_000)).toThrow(RangeError);
    }
  });
});

describe('there and back', () => {
  for (const [from, to] of [
    [44_100, 48_000],
    [48_000, 192_000],
    [44_100, 47_999],
  ]) {
    it(`${from} to ${to} Hz and back gives the programme again, within −115 dB`, () => {
      // Several tones and a fade in and out: nothing beyond the pass band, no edge.
      const input = Float32Array.from({ length: from / 2 }, (_, i) => {
        const t = i / from;
        const fade = Math.sin((Math.PI * i) / (from / 2)) ** 4;
        const tones =
          Math.sin(2 * Math.PI * 220 * t) + Math.sin(2 * Math.PI * 3137 * t) + Math.sin(2 * Math.PI * 15_013 * t);
        return (fade * tones) / 3;
      });
      const back = resample(resample(input, from, to), to, from);
      expect(back.length).toBe(input.length);
      const largest = input.reduce((max, v, i) => Math.max(max, Math.abs(v - back[i])), 0);
      console.log(`${from} → ${to} → ${from} Hz: ${gainToDb(largest).toFixed(1)} dB`);
      expect(gainToDb(largest)).toBeLessThan(-115);
    });
  }
});

describe('in steps', () => {
  it.each([
    [44_100, 48_000],
    [48_000, 44_100],
    // No common measure that a table of phases could hold.
    [44_101, 48_000],
    [48_000, 48_000],
  ])('%i to %i Hz: the same bits, over several of them', (from, to) => {
    const random = seededRandom(11);
    const input = Float32Array.from({ length: 200_000 }, () => random() - 0.5);
    const steps = resampleSteps(input, from, to);
    let count = 0;
    for (;;) {
      const { done, value } = steps.next();
      if (done) {
        expect(Buffer.from(value.buffer).equals(Buffer.from(resample(input, from, to).buffer))).toBe(true);
        expect(value.buffer).not.toBe(input.buffer);
        break;
      }
      count++;
    }
    expect(count).toBeGreaterThanOrEqual(3);
  });
});
