/** What a rack must not touch: nulls, emphasis and its inverse, and the AC coupling. Source: design notes, "DC". */
import { describe, expect, it } from 'vitest';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { snapFrequency } from '../../src/dsp/tones.ts';
import { dbToGain, gainToDb } from '../../src/dsp/units.ts';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import { driveFor } from '../support/curve-drive.ts';
import { rack, runRack, stage } from '../support/rig.ts';
import { dbcOf, steadyTone } from '../support/steady-tone.ts';

const random = seededRandom(5);
const noise = Float32Array.from({ length: 8000 }, () => 0.1 * gaussian(random));

/** RMS of output − gain·input, dB. */
function residueDb(output: Float32Array, gain: number, input = noise): number {
  let sum = 0;
  for (let i = 0; i < input.length; i++) sum += (output[i] - gain * input[i]) ** 2;
  return 10 * Math.log10(sum / input.length + 1e-30);
}

describe('nulls of white noise (-20 dBFS)', () => {
  it('an empty rack delays bit for bit', () => {
    const [out] = runRack(rack([]), [noise]);
    expect(out.every((value, i) => value === noise[i])).toBe(true);
  });

  it('a rack that is off, or whose stages are off, delays bit for bit', () => {
    const on = stage('soft-clip', { trimIn: 6, drive: 12 });
    for (const config of [{ ...rack([on]), on: false }, rack([{ ...on, on: false }])]) {
      expect(runRack(config, [noise])[0].every((value, i) => value === noise[i])).toBe(true);
    }
  });

  it.each(stageKinds.map(({ id }) => [id]))('%s without blend leaves only its trims, below -120 dBFS', (kind) => {
    const stages = [1, -4, 3.5].map((trimIn) => stage(kind, { trimIn, trimOut: 0.5, blend: 0, drive: 12, tilt: 6 }));
    const gain = dbToGain(1 - 4 + 3.5 + 3 * 0.5);
    expect(residueDb(runRack(rack(stages), [noise])[0], gain)).toBeLessThan(-120);
  });

  it('the match gain is exact', () => {
    const out = runRack(rack([stage('soft-clip', { blend: 0 })], 0.5), [noise])[0];
    expect(residueDb(out, 0.5)).toBeLessThan(-140);
  });

  it.each(stageKinds.map(({ id }) => [id]))('%s far below its knee nulls to -80 dB of a -60 dBFS signal', (kind) => {
    const quiet = noise.map((value) => value * dbToGain(-40));
    const [out] = runRack(rack([stage(kind, { drive: -12 })]), [quiet]);
    expect(residueDb(out, 1, quiet)).toBeLessThan(-60 - 80);
  });
});

describe('emphasis', () => {
  /** |(s·h + ω₀)/(s + h·ω₀)| at the bilinear transform's frequency, h the amplitude of half the tilt. */
  function gainAt(hertz: number, tilt: number, corner: number): number {
    const rate = 4 * 48000;
    const w = Math.tan((Math.PI * hertz) / rate) / Math.tan((Math.PI * corner) / rate);
    const h = dbToGain(tilt / 2);
    return Math.hypot(h * w, 1) / Math.hypot(w, h);
  }

  it.each([
    [12, 800, 997],
    [-12, 800, 997],
    [12, 100, 1245],
    [6, 8000, 3000],
    [-9, 3000, 5000],
  ])(
    'of %s dB at %s Hz works %s Hz by its gain and takes it back behind the curve',
    (tilt, tiltFrequency, frequency) => {
      const amplitude = 0.03;
      const drive = driveFor('soft-clip', { curve: 'cubic' }, amplitude);
      const measured = dbcOf(
        steadyTone([stage('soft-clip', { curve: 'cubic', drive, tilt, tiltFrequency })], { frequency }),
        3,
      );
      const exact = snapFrequency(frequency, 48000, 16384);
      // H3/H1 of x − x³/3 is A²/12 for small A; A is raised by the emphasis, H3 lowered by what it has at 3f.
      const g = gainAt(exact, tilt, tiltFrequency);
      const expected = gainToDb(((amplitude ** 2 / 12) * g ** 3) / gainAt(3 * exact, tilt, tiltFrequency));
      expect(Math.abs(measured - expected), `${measured} against ${expected}`).toBeLessThan(0.01);
    },
  );

  it('leaves small signals alone', () => {
    const quiet = noise.map((value) => value * dbToGain(-60));
    const [out] = runRack(rack([stage('soft-clip', { tilt: 12 }), stage('soft-clip', { tilt: -12 })]), [quiet]);
    expect(residueDb(out, 1, quiet)).toBeLessThan(-80 - 100);
  });
});

describe('AC coupling', () => {
  const uneven = { h2: -30, h3: -100 };
  const options = { frequency: 100, size: 32768 };

  it('takes away the DC that asymmetry makes; DC coupling leaves it', () => {
    const kept = steadyTone([stage('harmonic-set', { ...uneven, coupling: 'dc' })], options);
    const taken = steadyTone([stage('harmonic-set', uneven)], options);
    // T₂ of a full-scale cosine has as much DC as second harmonic, of the sign that D(0) = 0 asks for.
    expect(Math.abs(gainToDb(kept.dc / kept.fundamentalAmplitude) + 30)).toBeLessThan(0.01);
    // What is left is the tail of its own settling: e^(−2π·2 Hz·0.68 s) = −75 dB of it.
    expect(Math.abs(taken.dc)).toBeLessThan(kept.dc * dbToGain(-70));
  });

  it('costs what the stage adds at 20 Hz 0.043 dB: one pole at 2 Hz, 1/√(1 + (2/20)²)', () => {
    const low = { frequency: 10, size: 65536 };
    const dc = steadyTone([stage('harmonic-set', { ...uneven, coupling: 'dc' })], low);
    const ac = steadyTone([stage('harmonic-set', uneven)], low);
    const exact = -10 * Math.log10(1 + (2 / (2 * snapFrequency(10, 48000, low.size))) ** 2);
    expect(Math.abs(exact + 0.043)).toBeLessThan(0.005);
    expect(Math.abs(dbcOf(ac, 2) - dbcOf(dc, 2) - exact)).toBeLessThan(0.003);
  });

  it('leaves the signal itself alone at 20 Hz, in level and phase', () => {
    const tone = Float32Array.from(
      { length: 48000 },
      (_, i) => dbToGain(-80) * Math.sin((2 * Math.PI * 20 * i) / 48000),
    );
    const [out] = runRack(rack([stage('soft-clip', { bias: 40 })]), [tone]);
    expect(residueDb(out, 1, tone)).toBeLessThan(-80 - 60);
  });
});
