/** Stages in series against exact identities: docs/reference-values.md, section 3, "Chain identities" and "Two-tone". */
import { describe, expect, it } from 'vitest';
import { spectralLine } from '../../src/dsp/harmonics.ts';
import { snapFrequency } from '../../src/dsp/tones.ts';
import { dbToGain, gainToDb } from '../../src/dsp/units.ts';
import { driveFor, drivenTo } from '../support/curve-drive.ts';
import { rack, runRack, stage } from '../support/rig.ts';
import { dbcOf, steadyTone } from '../support/steady-tone.ts';

const square = { curve: 'algebraic', knee: 2 };
const one = { curve: 'algebraic', knee: 1 };

/** Both sets of harmonics agree within 0.01 dB wherever one is above −80 dBc. */
function sameSpectrum(a: ReturnType<typeof steadyTone>, b: ReturnType<typeof steadyTone>): void {
  expect(Math.abs(gainToDb(a.fundamentalAmplitude / b.fundamentalAmplitude))).toBeLessThan(0.001);
  let compared = 0;
  for (let n = 2; n <= 19; n++) {
    if (Math.max(dbcOf(a, n), dbcOf(b, n)) < -80) continue;
    compared++;
    expect(Math.abs(dbcOf(a, n) - dbcOf(b, n)), `H${n} ${dbcOf(a, n)} ${dbcOf(b, n)}`).toBeLessThan(0.01);
  }
  expect(compared).toBeGreaterThan(2);
}

describe('chain identities', () => {
  it.each([2, 3, 5])('%s stages of x/√(1 + x²) are one of x/√(1 + n·x²)', (n) => {
    const amplitude = 0.8;
    const chain = steadyTone(Array.from({ length: n }, () => drivenTo('soft-clip', square, amplitude)));
    sameSpectrum(chain, steadyTone([drivenTo('soft-clip', square, amplitude * Math.sqrt(n))]));
  });

  it('x/(1 + k₁|x|), then k₂, is one of k₁ + k₂', () => {
    const chain = steadyTone([drivenTo('soft-clip', one, 0.3), drivenTo('soft-clip', one, 0.7)]);
    sameSpectrum(chain, steadyTone([drivenTo('soft-clip', one, 1)]));
  });

  it('n mild cubic stages make n times the third harmonic, to first order', () => {
    const mild = () => drivenTo('soft-clip', { curve: 'cubic' }, 0.03);
    const single = dbcOf(steadyTone([mild()]), 3);
    for (const n of [2, 3, 6]) {
      const chain = dbcOf(steadyTone(Array.from({ length: n }, mild)), 3);
      expect(Math.abs(chain - single - gainToDb(n)), `${n} stages`).toBeLessThan(0.03);
    }
  });

  it('trim in of g dB raises a cubic H3/H1 by 2g dB for small signals, trim out changes nothing', () => {
    const drive = driveFor('soft-clip', { curve: 'cubic' }, 0.03);
    const at = (params: object) => dbcOf(steadyTone([stage('soft-clip', { curve: 'cubic', drive, ...params })]), 3);
    const plain = at({});
    for (const g of [1, 3, 6]) expect(Math.abs(at({ trimIn: g }) - plain - 2 * g), `${g} dB`).toBeLessThan(0.02);
    for (const g of [-12, 12]) expect(Math.abs(at({ trimOut: g }) - plain)).toBeLessThan(0.001);
  });

  it('trim in of g dB raises the H2/H1 of a square law by g dB', () => {
    const at = (params: object) => dbcOf(steadyTone([stage('harmonic-set', { h2: -60, h3: -100, ...params })]), 2);
    const plain = at({});
    expect(Math.abs(plain + 60)).toBeLessThan(0.01);
    for (const g of [-12, -6]) expect(Math.abs(at({ trimIn: g }) - plain - g), `${g} dB`).toBeLessThan(0.02);
  });

  it('turning the second of two biased stages over cancels their even harmonics to first order', () => {
    const params = { bias: 30, drive: -18 };
    const same = dbcOf(steadyTone([stage('soft-clip', params), stage('soft-clip', params)]), 2);
    const turned = dbcOf(
      steadyTone([stage('soft-clip', { ...params, polarity: 'inverted' }), stage('soft-clip', params)]),
      2,
    );
    expect(turned).toBeLessThan(same - 25);
  });
});

describe('two tones', () => {
  const size = 16384;
  const f1 = snapFrequency(3000, 48000, size);
  const f2 = snapFrequency(3700, 48000, size);

  function lines(config: ReturnType<typeof stage>, a: number, b: number, frequencies: number[]) {
    const input = Float32Array.from({ length: 2 * size + 128 }, (_, i) => {
      const t = (2 * Math.PI * i) / 48000;
      return a * Math.cos(f1 * t) + b * Math.cos(f2 * t);
    });
    const samples = runRack(rack([config]), [input])[0].slice(size, 2 * size);
    return frequencies.map((frequency) => spectralLine(samples, 48000, frequency).amplitude);
  }

  it('cubic: 3f1 a₃A³/4, 2f1±f2 ¾a₃A²B, fundamentals a₁A + a₃(¾A³ + 3/2·AB²), with a₃ = −k²/3', () => {
    const a = dbToGain(-24);
    const b = dbToGain(-30);
    const knee = 0.9 / (a + b);
    const drive = driveFor('soft-clip', { curve: 'cubic' }, knee * dbToGain(-18));
    const a3 = -(knee ** 2) / 3;
    const expected = [
      [f1, a + a3 * (0.75 * a ** 3 + 1.5 * a * b ** 2)],
      [f2, b + a3 * (0.75 * b ** 3 + 1.5 * b * a ** 2)],
      [3 * f1, (a3 * a ** 3) / 4],
      [2 * f1 - f2, 0.75 * a3 * a ** 2 * b],
      [2 * f1 + f2, 0.75 * a3 * a ** 2 * b],
      [2 * f2 - f1, 0.75 * a3 * a * b ** 2],
    ];
    const measured = lines(
      stage('soft-clip', { curve: 'cubic', drive }),
      a,
      b,
      expected.map(([f]) => f),
    );
    measured.forEach((amplitude, i) => {
      expect(Math.abs(gainToDb(amplitude / Math.abs(expected[i][1]))), `${expected[i][0]} Hz`).toBeLessThan(0.01);
    });
  });

  it('square law: DC and difference tones a₂(A² + B²)/2, a₂AB, a₂A²/2', () => {
    const a = 0.4 * dbToGain(-18);
    const b = 0.3 * dbToGain(-18);
    // The harmonic set's H2 of r at the alignment peak P is x + a₂x² with a₂ = 2r/P (no odd orders).
    const a2 = (2 * dbToGain(-40)) / dbToGain(-18);
    const config = stage('harmonic-set', { h2: -40, h3: -100, coupling: 'dc' });
    const expected = [
      [0, (a2 * (a ** 2 + b ** 2)) / 2],
      [f2 - f1, a2 * a * b],
      [f2 + f1, a2 * a * b],
      [2 * f1, (a2 * a ** 2) / 2],
      [2 * f2, (a2 * b ** 2) / 2],
    ];
    const measured = lines(
      config,
      a,
      b,
      expected.map(([f]) => f),
    );
    measured.forEach((amplitude, i) => {
      expect(Math.abs(gainToDb(amplitude / Math.abs(expected[i][1]))), `${expected[i][0]} Hz`).toBeLessThan(0.01);
    });
  });

  it('equal tones: IM3 is three times HD3 (+9.54 dB) and IM2 twice HD2 (+6.02 dB)', () => {
    const a = 0.1 * dbToGain(-18);
    const [im3, h3] = lines(stage('soft-clip', { curve: 'cubic' }), a, a, [2 * f1 - f2, 3 * f1]);
    expect(Math.abs(gainToDb(im3 / h3) - 9.542)).toBeLessThan(0.01);
    const [im2, h2] = lines(stage('harmonic-set', { h2: -40, h3: -100 }), a, a, [f1 + f2, 2 * f1]);
    expect(Math.abs(gainToDb(im2 / h2) - 6.021)).toBeLessThan(0.01);
  });
});
