import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  blockEnergies,
  energyToLufs,
  gatedLoudness,
  gateMask,
  LoudnessMeter,
  loudnessRange,
  loudnessSeries,
  lufsToEnergy,
  measureLoudness,
} from '../../src/dsp/loudness.ts';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { near } from './near.ts';

const RATE = 48_000;

function noise(seconds: number, seed = 1, sampleRate = RATE): Float32Array {
  const random = seededRandom(seed);
  return Float32Array.from({ length: Math.round(seconds * sampleRate) }, (_, i) => {
    return 0.2 * gaussian(random) * (1 + Math.sin((2 * Math.PI * 0.3 * i) / sampleRate));
  });
}

function readings(meter: LoudnessMeter) {
  const { momentary, shortTerm, integrated, maxMomentary, maxShortTerm } = meter;
  return { momentary, shortTerm, integrated, maxMomentary, maxShortTerm, range: meter.loudnessRange() };
}

function metered(channels: Float32Array[], sampleRate = RATE): LoudnessMeter {
  const meter = new LoudnessMeter(sampleRate, channels.length);
  meter.process(channels);
  return meter;
}

describe('LoudnessMeter', () => {
  const signal = [noise(5, 1), noise(5, 2)];
  const whole = readings(metered(signal));

  it('reads the same to the last bit however the stream is cut', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 20_000 }), { minLength: 1, maxLength: 8 }), (sizes) => {
        const meter = new LoudnessMeter(RATE, 2);
        for (let at = 0, k = 0; at < signal[0].length; k++) {
          const end = Math.min(signal[0].length, at + sizes[k % sizes.length]);
          meter.process(signal, at, end);
          at = end;
        }
        expect(readings(meter)).toEqual(whole);
      }),
      { numRuns: 8, seed: 1 },
    );
  });

  it('starts anew after reset', () => {
    const meter = metered([noise(4, 9), noise(4, 8)]);
    meter.process(signal, 0, 777);
    meter.reset();
    expect(meter.integrated).toBe(-Infinity);
    meter.process(signal);
    expect(readings(meter)).toEqual(whole);
  });

  it('reads undefined things as −Infinity or null, and nothing before a block is whole', () => {
    const meter = new LoudnessMeter(RATE, 2);
    expect(readings(meter)).toEqual({
      momentary: -Infinity,
      shortTerm: -Infinity,
      integrated: -Infinity,
      maxMomentary: -Infinity,
      maxShortTerm: -Infinity,
      range: null,
    });
    meter.process(signal, 0, 19_199);
    expect(meter.integrated).toBe(-Infinity);
    expect(meter.momentary).toBeGreaterThan(-40);
    meter.process(signal, 19_199, 19_200);
    expect(meter.integrated).toBeGreaterThan(-40);
    expect(meter.maxShortTerm).toBe(-Infinity);
  });

  it('takes NaN and infinite samples as 0 and recovers at once', () => {
    const broken = noise(4);
    broken[10] = Number.NaN;
    broken[5000] = Infinity;
    broken[70_000] = -Infinity;
    const cleaned = broken.map((x) => (Number.isFinite(x) ? x : 0));
    expect(readings(metered([broken]))).toEqual(readings(metered([cleaned])));
  });

  it('measures one dead or missing channel as silence', () => {
    const dead = metered([signal[0], new Float32Array(signal[0].length)]);
    const missing = new LoudnessMeter(RATE, 2);
    missing.process([signal[0]]);
    expect(readings(missing)).toEqual(readings(dead));
    near(metered([signal[0]]).integrated - dead.integrated, 10 * Math.log10(2), 1e-9, 'mono counts twice');
  });

  it('gives the offline block energies, also at rates that 100 ms do not divide', () => {
    for (const rate of [48_000, 44_100, 11_025, 22_255]) {
      const channels = [noise(2, 3, rate)];
      expect([...metered(channels, rate).blockEnergies()].map(rounded)).toEqual(
        [...blockEnergies(channels, rate)].map(rounded),
      );
    }
  });

  it('keeps on past its first store of ten minutes', () => {
    const meter = new LoudnessMeter(8000, 1);
    const quiet = new Float32Array(8000);
    for (let i = 0; i < 610; i++) meter.process([quiet]);
    meter.process([noise(4, 1, 8000)]);
    expect(meter.blockEnergies()).toHaveLength(6140 - 3);
    near(meter.integrated, gatedLoudness(meter.blockEnergies()), 1e-9);
    near(meter.maxShortTerm, metered([noise(4, 1, 8000)], 8000).maxShortTerm, 1e-6);
  });

  it('refuses rates and weights that make no sense', () => {
    expect(() => new LoudnessMeter(4000, 2)).toThrow(RangeError);
    expect(() => new LoudnessMeter(Number.NaN, 2)).toThrow(RangeError);
    expect(() => new LoudnessMeter(RATE, 2, { weights: [1] })).toThrow(RangeError);
    expect(() => new LoudnessMeter(RATE, 1, { weights: [Number.NaN] })).toThrow(RangeError);
  });
});

/** Twelve significant digits: ticks and hops sum in another order. */
const rounded = (x: number) => Number(x.toPrecision(12));

describe('matching two signals', () => {
  const before = [noise(6, 4), noise(6, 5)];

  it('finds the gain between a signal and its copy exactly, with either mask', () => {
    const after = before.map((data) => data.map((x) => 0.5 * x));
    const [a, b] = [before, after].map((channels) => blockEnergies(channels, RATE));
    const mask = gateMask(a);
    near(gatedLoudness(a, mask) - gatedLoudness(b, mask), 6.0206, 1e-4);
    near(gatedLoudness(a) - gatedLoudness(b), 6.0206, 1e-4);
  });

  it('compares the masked moments only', () => {
    const energies = [1, 1, 1, 0.02, 0.02];
    expect([...gateMask(energies)]).toEqual([1, 1, 1, 0, 0]);
    near(gatedLoudness(energies), energyToLufs(1), 1e-12);
    near(gatedLoudness(energies, [0, 0, 0, 1, 1]), energyToLufs(0.02), 1e-12);
    expect(gatedLoudness(energies, [0, 0, 0, 0, 0])).toBe(-Infinity);
    expect(gatedLoudness([], [])).toBe(-Infinity);
    expect(() => gatedLoudness(energies, [1])).toThrow(RangeError);
    near(energyToLufs(lufsToEnergy(-17.3)), -17.3, 1e-12);
  });

  it('agrees with the meter on integrated loudness', () => {
    near(gatedLoudness(blockEnergies(before, RATE)), metered(before).integrated, 1e-9);
  });

  it('is empty for less than a block and for nothing', () => {
    expect(blockEnergies([], RATE)).toHaveLength(0);
    expect(blockEnergies([new Float32Array(0)], RATE)).toHaveLength(0);
    expect(blockEnergies([new Float32Array(19_000)], RATE)).toHaveLength(0);
  });
});

describe('loudnessSeries', () => {
  const shortTerm = (signal: Float32Array[], everyHops: number) => loudnessSeries(signal, RATE, everyHops).shortTerm;

  it('has one window every so many tenths of a second from 3 s on, the same as the meter read there', () => {
    const signal = [noise(7, 6), noise(7, 7)];
    const series = shortTerm(signal, 1);
    expect(series).toHaveLength(41);
    const meter = new LoudnessMeter(RATE, 2);
    for (let i = 0; i < series.length; i++) {
      meter.process(signal, i === 0 ? 0 : ((29 + i) * RATE) / 10, ((30 + i) * RATE) / 10);
      near(series[i], meter.shortTerm, 1e-9);
    }
    expect(shortTerm(signal, 10)).toHaveLength(5);
    expect([...shortTerm(signal, 5)]).toEqual([...series.filter((_, i) => i % 5 === 0)]);
  });

  it('has the blocks of the integrated loudness', () => {
    const signal = [noise(5, 8)];
    expect([...loudnessSeries(signal, RATE, 5).blocks]).toEqual([...blockEnergies(signal, RATE)]);
  });

  it('is empty below 3 s, −Infinity in silence, and refuses a senseless step', () => {
    expect(shortTerm([noise(2)], 1)).toHaveLength(0);
    expect([...shortTerm([new Float32Array(RATE * 3)], 10)]).toEqual([-Infinity]);
    for (const step of [0, -1, 31, 0.5, Number.NaN]) {
      expect(() => shortTerm([noise(1)], step)).toThrow(RangeError);
    }
  });
});

describe('loudnessRange', () => {
  it('takes nearest ranks of what passes the gates', () => {
    // 21 values 0 to −20 LUFS, one below the relative gate and one below the absolute gate.
    const levels = [...Array.from({ length: 21 }, (_, i) => -i), -45, -75];
    // Ranks round(20·0.95) = 19 and round(20·0.1) = 2 of the sorted list −20 … 0.
    near(loudnessRange(levels.map(lufsToEnergy)), -1 - -18, 1e-9);
  });

  it('is null without anything above −70 LUFS and 0 for one window', () => {
    expect(loudnessRange([])).toBeNull();
    expect(loudnessRange([0, lufsToEnergy(-71)])).toBeNull();
    expect(loudnessRange([lufsToEnergy(-30)])).toBe(0);
  });

  it('is null for recordings shorter than one window', () => {
    expect(measureLoudness([noise(2.9)], RATE).loudnessRangeLu).toBeNull();
    expect(measureLoudness([noise(3)], RATE).loudnessRangeLu).not.toBeNull();
  });

  // What is steady has no range, whatever its length: by definition all percentiles are the same.
  it.each([3, 4, 10, 59])('is nothing for a steady sine of %s s', (seconds) => {
    const sine = Float32Array.from(
      { length: seconds * RATE },
      (_, i) => 0.1 * Math.sin((2 * Math.PI * 997 * i) / RATE),
    );
    expect(measureLoudness([sine], RATE).loudnessRangeLu).toBeLessThan(0.01);
  });
});
