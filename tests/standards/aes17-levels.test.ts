/** AES17 levels (a full-scale sine is 0 dBFS RMS), crest factors in closed form, and PLR. */
import { describe, expect, it } from 'vitest';
import { AES17_OFFSET_DB, crestFactorDb, measureLevels, rmsDbfs } from '../../src/dsp/levels.ts';
import { measure, measureDetailed } from '../../src/dsp/measure.ts';
import { near } from './report.ts';
import { programme } from './tone-programmes.ts';

/** One second of a shape over one turn, 480 samples a period, with points on its crests. */
const shape = (value: (turn: number) => number) =>
  Float32Array.from({ length: 48_000 }, (_, i) => value((i % 480) / 480));
const sin = (turn: number) => Math.sin(2 * Math.PI * turn);

const crest = (data: Float32Array) => {
  const { samplePeak, meanSquare } = measureLevels([data]);
  return crestFactorDb(samplePeak, meanSquare);
};

describe('RMS', () => {
  it('of a full-scale 997 Hz sine is 0 dBFS', () => {
    near(rmsDbfs(measureLevels([programme([[1, 0]], 48_000, 997)]).meanSquare), 0, 1e-6);
  });

  it('of a −23 dBFS sine is −23, where plain RMS tools print −26.01', () => {
    const { meanSquare } = measureLevels([programme([[1, -23]], 48_000, 997)]);
    near(rmsDbfs(meanSquare), -23, 1e-6);
    near(10 * Math.log10(meanSquare), -26.01, 0.001);
    near(AES17_OFFSET_DB, 3.0103, 1e-4);
  });

  it('of a full-scale square wave is +3.01', () => {
    near(rmsDbfs(measureLevels([shape((turn) => (turn < 0.5 ? 1 : -1))]).meanSquare), 3.0103, 1e-4);
  });
});

describe('crest factor', () => {
  const triangle = (turn: number) => 1 - 4 * Math.abs(((turn + 0.25) % 1) - 0.5);
  for (const { name, wave, db, tolerance } of [
    { name: 'sine', wave: sin, db: 3.0103, tolerance: 1e-4 },
    { name: 'square', wave: (turn: number) => (turn < 0.5 ? 1 : -1), db: 0, tolerance: 1e-9 },
    { name: 'triangle', wave: triangle, db: 4.7712, tolerance: 1e-3 },
    { name: 'half-wave rectified sine', wave: (turn: number) => Math.max(0, sin(turn)), db: 6.0206, tolerance: 1e-4 },
  ]) {
    it(`of a ${name}: ${db} dB`, () => near(crest(shape(wave)), db, tolerance));
  }

  it('of two tones: 6.0206 dB if equal, 4.6852 dB at 4:1', () => {
    const pair = (a: number, b: number) =>
      Float32Array.from({ length: 48_000 }, (_, i) => {
        const at = (f: number) => Math.cos((2 * Math.PI * ((f * i) % 48_000)) / 48_000);
        return a * at(60) + b * at(7000);
      });
    near(crest(pair(0.5, 0.5)), 6.0206, 1e-4);
    near(crest(pair(0.8, 0.2)), 4.6852, 1e-4);
  });
});

describe('polarity and DC', () => {
  it('keeps both peaks apart and reports DC with its size', () => {
    const lifted = shape((turn) => 0.25 * sin(turn) + 0.125);
    const figures = measureDetailed([lifted, lifted], 48_000);
    near(figures.positivePeakDbfs, 20 * Math.log10(0.375), 1e-6);
    near(figures.negativePeakDbfs, 20 * Math.log10(0.125), 1e-6);
    near(figures.samplePeakDbfs, 20 * Math.log10(0.375), 1e-6);
    near(figures.dcDbfs, 20 * Math.log10(0.125), 1e-6);
  });

  it('takes DC of each channel alone: opposite ones do not cancel', () => {
    const up = new Float32Array(100).fill(0.5);
    expect(measureLevels([up, up.map((x) => -x)]).dc).toBe(0.5);
  });
});

describe('peak to loudness ratio of 997 Hz', () => {
  const tone = programme([[5, 0]], 48_000, 997);
  it('is 0.00 on both channels and +3.01 on one', () => {
    near(measure([tone, tone], 48_000).plrDb, 0, 0.01);
    near(measure([tone, new Float32Array(tone.length)], 48_000).plrDb, 3.01, 0.01);
    near(measureDetailed([tone, tone], 48_000).psrDb, 0, 0.02);
  });
});
