import { describe, expect, it } from 'vitest';
import { measure, measureDetailed } from '../../src/dsp/measure.ts';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { near } from './near.ts';

const RATE = 48_000;
const KEYS = [
  'integratedLufs',
  'maxShortTermLufs',
  'maxMomentaryLufs',
  'loudnessRangeLu',
  'truePeakDbtp',
  'samplePeakDbfs',
  'rmsDbfs',
  'crestDb',
  'plrDb',
  'dcDbfs',
  'sampleRate',
  'channels',
  'seconds',
];

function noise(seconds: number, seed = 1): Float32Array {
  const random = seededRandom(seed);
  return Float32Array.from({ length: Math.round(seconds * RATE) }, () => 0.1 * gaussian(random));
}

/** Names of all figures that are null; fails on NaN and ±Infinity. */
function undefinedFigures(result: object): string[] {
  for (const [key, value] of Object.entries(result)) {
    if (typeof value === 'number') expect(Number.isFinite(value), key).toBe(true);
  }
  return Object.entries(result)
    .filter(([, value]) => value === null)
    .map(([key]) => key);
}

const LOUDNESS = ['integratedLufs', 'maxShortTermLufs', 'maxMomentaryLufs', 'loudnessRangeLu', 'plrDb'];
const LEVELS = ['truePeakDbtp', 'samplePeakDbfs', 'rmsDbfs', 'crestDb', 'dcDbfs'];

describe('measure', () => {
  it('has exactly the agreed keys', () => {
    expect(Object.keys(measure([noise(4), noise(4, 2)], RATE))).toEqual(KEYS);
    expect(Object.keys(measureDetailed([noise(4)], RATE)).slice(KEYS.length)).toEqual([
      'positivePeakDbfs',
      'negativePeakDbfs',
      'psrDb',
    ]);
  });

  it('defines everything for 4 s of noise', () => {
    const result = measureDetailed([noise(4), noise(4, 2)], RATE);
    expect(undefinedFigures(result)).toEqual([]);
    near(result.rmsDbfs, -20 + 3.01, 0.05);
    near(result.crestDb, (result.samplePeakDbfs as number) - (result.rmsDbfs as number) + 3.0103, 1e-4);
    near(result.plrDb, (result.truePeakDbtp as number) - (result.integratedLufs as number), 1e-12);
    expect(result.truePeakDbtp as number).toBeGreaterThanOrEqual(result.samplePeakDbfs as number);
    expect([result.sampleRate, result.channels, result.seconds]).toEqual([RATE, 2, 4]);
  });

  it('leaves all open for nothing, no channels and silence', () => {
    for (const channels of [[], [new Float32Array(0)], [new Float32Array(0), new Float32Array(0)]]) {
      const result = measure(channels, RATE);
      expect(undefinedFigures(result).sort()).toEqual([...LOUDNESS, ...LEVELS].sort());
      expect(result.seconds).toBe(0);
    }
    const silent = measureDetailed([new Float32Array(5 * RATE), new Float32Array(5 * RATE)], RATE);
    expect(undefinedFigures(silent).sort()).toEqual(
      [...LOUDNESS, ...LEVELS, 'positivePeakDbfs', 'negativePeakDbfs', 'psrDb'].sort(),
    );
    expect(silent.seconds).toBe(5);
  });

  it('has levels but no loudness below one block, and no short-term figures below 3 s', () => {
    const short = [noise(0.399)];
    expect(undefinedFigures(measure(short, RATE)).sort()).toEqual([...LOUDNESS].sort());
    expect(undefinedFigures(measure([noise(2)], RATE)).sort()).toEqual(['loudnessRangeLu', 'maxShortTermLufs']);
  });

  it('counts NaN and infinite samples as 0 and says so', () => {
    const broken = [noise(4), noise(4, 2)];
    broken[0][100] = Number.NaN;
    broken[1][200] = Infinity;
    broken[1][90_000] = -Infinity;
    const cleaned = broken.map((data) => data.map((x) => (Number.isFinite(x) ? x : 0)));
    const { note, ...figures } = measureDetailed(broken, RATE);
    expect(figures).toEqual(measureDetailed(cleaned, RATE));
    expect(note).toContain('3 samples');
    const [one] = [noise(1)];
    one[0] = Number.NaN;
    expect(measure([one], RATE).note).toContain('1 sample was');
    undefinedFigures(measure([new Float32Array(RATE).fill(Number.NaN)], RATE));
  });

  it('counts a dead channel in RMS and crest, not in peaks', () => {
    const live = noise(4);
    const both = measure([live, live], RATE);
    const one = measure([live, new Float32Array(live.length)], RATE);
    expect(one.truePeakDbtp).toBe(both.truePeakDbtp);
    near((both.rmsDbfs as number) - (one.rmsDbfs as number), 3.0103, 1e-4);
    near((both.integratedLufs as number) - (one.integratedLufs as number), 3.0103, 1e-4);
    near((one.crestDb as number) - (both.crestDb as number), 3.0103, 1e-4);
  });

  it('measures mono like the same on two channels', () => {
    const live = noise(4);
    const mono = measure([live], RATE);
    const pair = measure([live, live], RATE);
    for (const key of ['integratedLufs', 'loudnessRangeLu', 'truePeakDbtp', 'rmsDbfs', 'crestDb', 'plrDb'] as const) {
      near(mono[key], pair[key] as number, 1e-9, key);
    }
    expect([mono.channels, pair.channels]).toEqual([1, 2]);
    near(
      (mono.integratedLufs as number) - (measure([live], RATE, { dualMono: false }).integratedLufs as number),
      3.0103,
      1e-4,
    );
  });

  it('takes the psr where the programme is loudest', () => {
    const quiet = noise(5).map((x) => x / 10);
    // A click outside the loudest 3 s counts for the plr, not for the psr.
    quiet[100] = 0.99;
    const data = new Float32Array(10 * RATE);
    data.set(quiet);
    data.set(noise(5, 3), 5 * RATE);
    const result = measureDetailed([data, data], RATE);
    const loud = measureDetailed([noise(5, 3), noise(5, 3)], RATE);
    near(result.psrDb, loud.psrDb as number, 0.2);
    expect(result.truePeakDbtp as number).toBeGreaterThan((loud.truePeakDbtp as number) + 5);
  });

  it('refuses channels of different length and rates without sense', () => {
    expect(() => measure([noise(1), noise(2)], RATE)).toThrow(RangeError);
    expect(() => measure([noise(1)], 0)).toThrow(RangeError);
    expect(() => measure([noise(1)], Number.NaN)).toThrow(RangeError);
  });
});
