import { describe, expect, it } from 'vitest';
import { sine, snapFrequency, twoTone } from '../../src/dsp/tones.ts';
import { near } from './near.ts';

describe('sine', () => {
  it('keeps its phase to the last bit after an hour', () => {
    const hour = 3600 * 48_000;
    const late = (i: number) => Math.sin(2 * Math.PI * (((997 * i) % 48_000) / 48_000));
    expect(sine(100, 48_000, 997)[99]).toBe(late(99));
    // 997 Hz has whole periods in every second, so an hour later the same samples come again.
    expect(late(hour + 99)).toBe(late(99));
  });

  it('has its amplitude and phase', () => {
    near(sine(1, 48_000, 100, 0.5, Math.PI / 2)[0], 0.5, 1e-15);
    const period = sine(480, 48_000, 100, 0.5);
    near(Math.max(...period), 0.5, 1e-12);
    near(period[120], 0.5, 1e-12);
  });
});

describe('twoTone', () => {
  it('starts at the crest of both', () => {
    const pair = twoTone(100, 48_000, { frequency: 60, amplitude: 0.8 }, { frequency: 7000, amplitude: 0.2 });
    near(pair[0], 1, 1e-15);
  });
});

describe('snapFrequency', () => {
  it('picks the nearest odd number of periods in a power of two', () => {
    const snapped = snapFrequency(997, 48_000, 65_536);
    const periods = (snapped * 65_536) / 48_000;
    expect(periods).toBe(1361);
    expect(snapFrequency(1000, 48_000, 65_536) * (65_536 / 48_000)).toBe(1365);
    expect(snapFrequency(0.01, 48_000, 1024)).toBe(48_000 / 1024);
  });

  it('has no divisor in common with any other length', () => {
    expect((snapFrequency(10, 100, 60) * 60) / 100).toBe(7);
  });

  it('refuses what does not fit', () => {
    for (const frequency of [0, -1, 24_000, Number.NaN]) {
      expect(() => snapFrequency(frequency, 48_000, 1024)).toThrow(RangeError);
    }
    expect(() => snapFrequency(100, 48_000, 0.5)).toThrow(RangeError);
  });
});
