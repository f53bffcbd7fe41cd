import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { TruePeakMeter, truePeak } from '../../src/dsp/true-peak.ts';
import { interpolationPhase, TRUE_PEAK_TAPS } from '../../src/dsp/true-peak-filter.ts';
import { near } from './near.ts';

const RATE = 48_000;

function noise(length: number, seed: number): Float32Array {
  const random = seededRandom(seed);
  return Float32Array.from({ length }, () => 0.3 * gaussian(random));
}

/** Every interpolated point computed plainly: what the meter's shortcuts must not change. */
function plainPeak(data: Float32Array, fractions: readonly number[]): number {
  let peak = 0;
  for (const x of data) peak = Math.max(peak, Math.abs(x));
  for (const taps of fractions.map(interpolationPhase)) {
    for (let n = 0; n < data.length + 12; n++) {
      let sum = 0;
      for (let k = 0; k < TRUE_PEAK_TAPS; k++) sum += taps[k] * (data[n - (TRUE_PEAK_TAPS - 1) + k] ?? 0);
      peak = Math.max(peak, Math.abs(sum));
    }
  }
  return peak;
}

describe('truePeak', () => {
  it('finds the same as computing every point', () => {
    for (let seed = 1; seed <= 12; seed++) {
      const data = noise(200 + 31 * seed, seed);
      near(truePeak([data], RATE).linear, plainPeak(data, [0.25, 0.5, 0.75]), 1e-14);
      near(truePeak([data], 2 * RATE).linear, plainPeak(data, [0.5]), 1e-14);
      near(truePeak([data], 4 * RATE).linear, plainPeak(data, []), 1e-14);
    }
  });

  it('finds a peak that lies between the last samples', () => {
    const data = new Float32Array(100);
    data[98] = data[99] = 0.5;
    near(truePeak([data]).linear, plainPeak(data, [0.25, 0.5, 0.75]), 1e-14);
    expect(truePeak([data]).linear).toBeGreaterThan(0.6);
  });

  it('gives each channel its own peak', () => {
    const result = truePeak([noise(500, 1).map((x) => x / 2), noise(500, 1), new Float32Array(500)], RATE);
    near(result.perChannel[0] * 2, result.perChannel[1], 1e-9);
    expect(result.perChannel[2]).toBe(0);
    expect(result.linear).toBe(result.perChannel[1]);
    near(result.dbtp, 20 * Math.log10(result.linear), 1e-12);
  });

  it('reads −Infinity for silence and for nothing', () => {
    expect(truePeak([new Float32Array(100)]).dbtp).toBe(-Infinity);
    expect(truePeak([]).dbtp).toBe(-Infinity);
    expect(truePeak([new Float32Array(0)]).linear).toBe(0);
  });

  it('takes NaN and infinite samples as 0', () => {
    const broken = noise(300, 3);
    broken[50] = Number.NaN;
    broken[51] = Infinity;
    broken[200] = -Infinity;
    const cleaned = broken.map((x) => (Number.isFinite(x) ? x : 0));
    expect(truePeak([broken]).linear).toBe(truePeak([cleaned]).linear);
  });
});

describe('TruePeakMeter', () => {
  const signal = [noise(4000, 1), noise(4000, 2)];

  it('reads the same to the last bit however the stream is cut', () => {
    const whole = truePeak(signal, RATE).perChannel;
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 300 }), { minLength: 1, maxLength: 6 }), (sizes) => {
        const meter = new TruePeakMeter(RATE, 2);
        for (let at = 0, k = 0; at < 4000; k++) {
          const end = Math.min(4000, at + sizes[k % sizes.length]);
          meter.process(signal, at, end);
          at = end;
        }
        meter.flush();
        expect([...meter.perChannel]).toEqual([...whole]);
      }),
      { numRuns: 30, seed: 1 },
    );
  });

  it('can start its maximum anew without forgetting the signal', () => {
    // Two loud samples before the cut, quiet after: the new maximum must still see the ringing between them.
    const data = new Float32Array(64);
    data[30] = data[31] = 0.5;
    const meter = new TruePeakMeter(RATE, 1);
    meter.process([data], 0, 32);
    meter.clearPeaks();
    expect(meter.peak).toBe(0);
    meter.process([data], 32, 64);
    expect(meter.peak).toBeGreaterThan(0.6);
    // The same in blocks shorter than the filter.
    meter.reset();
    meter.process([data], 0, 32);
    meter.clearPeaks();
    for (let at = 32; at < 64; at += 4) meter.process([data], at, at + 4);
    expect(meter.peak).toBeGreaterThan(0.6);
    meter.reset();
    meter.process([new Float32Array(64)]);
    expect(meter.peak).toBe(0);
  });

  it('skips a missing channel', () => {
    const meter = new TruePeakMeter(RATE, 2);
    meter.process([signal[0]]);
    expect(meter.perChannel[1]).toBe(0);
    expect(meter.dbtp).toBeGreaterThan(-10);
  });
});
