/**
 * The transformer core. Laws of its iron: Rayleigh's (for small flux the current's harmonics rise with the square of it),
 * the cubic core's (H3/H1 of the magnetising current with the square of V/f, −12 dB an octave; docs/reference-values.md,
 * section 6), and that hysteresis knows no time.
 */
import { afterAll, describe, expect, it } from 'vitest';
import { snapFrequency } from '../../src/dsp/tones.ts';
import { gainToDb } from '../../src/dsp/units.ts';
import { transformer } from '../../src/engine/stages/transformer.ts';
import { harmonic, runCircuit } from '../support/circuit-rig.ts';
import { magnetise } from '../support/hysteresis.ts';
import { rack, runRack, stage } from '../support/rig.ts';
import { dbcOf, steadyTone } from '../support/steady-tone.ts';

const figures: string[] = [];
afterAll(() => console.log(figures.join('\n')));

/** Whole periods of a frequency in 16384 frames at this rate are multiples of 5 Hz. */
const RATE = 409_600;
const SIZE = 81_920;

/** A tone after it has settled, as the kernel's own units, and what was put in. */
function settledTone(hz: number, amplitude: number, params: Record<string, number | string> = {}) {
  const input = Float32Array.from({ length: 4 * SIZE }, (_, i) => amplitude * Math.cos((2 * Math.PI * hz * i) / RATE));
  const { added } = runCircuit(transformer, params, input, RATE);
  const from = 3 * SIZE;
  return { input: input.slice(from), added: added.slice(from), periods: (hz * SIZE) / RATE };
}

describe('the third harmonic', () => {
  it('of the output falls 12 dB an octave against the fundamental at small drive, from 40 to 320 Hz', () => {
    const at = (frequency: number) => {
      const tone = steadyTone([stage('transformer', { drive: -24 })], { frequency, sampleRate: 40_960, size: 16_384 });
      return dbcOf(tone, 3);
    };
    const levels = [42.5, 85, 170, 340].map((hz) => at(hz * (40 / 42.5)));
    figures.push(
      `transformer: H3 at 40, 80, 160, 320 Hz, −24 dB drive: ${levels.map((v) => v.toFixed(2)).join(', ')} dBc`,
    );
    for (let i = 1; i < levels.length; i++) expect(Math.abs(levels[i - 1] - levels[i] - 12.04)).toBeLessThan(0.5);
  });
});

describe('the core', () => {
  it('loses the same in every cycle at the same flux, whatever the frequency', () => {
    // Flux is the integral of the voltage; what the current drops is what is taken off with the response on.
    const loss = (hz: number) => {
      const flux = 0.4;
      const { input, added, periods } = settledTone(hz, (flux * hz) / 50, {
        response: 'on',
        leakage: 0.5,
        capacitance: 0.2,
        source: 50,
        inductance: 15,
      });
      let energy = 0;
      for (let i = 0; i < SIZE; i++) energy += -added[i] * (input[i] + added[i]);
      return energy / periods;
    };
    const losses = [100, 200, 400, 800].map(loss);
    figures.push(`transformer: loss per cycle at 100 to 800 Hz: ${losses.map((v) => v.toFixed(3)).join(', ')}`);
    for (const one of losses) expect(Math.abs(one / losses[0] - 1)).toBeLessThan(0.01);
  });

  it('goes round the loop that Jiles and Atherton give its current', () => {
    const [hz, flux] = [400, 0.5];
    const input = Float32Array.from(
      { length: (3 * RATE) / hz },
      (_, i) => (flux * hz * Math.cos((2 * Math.PI * hz * i) / RATE)) / 50,
    );
    const { added, coefficients } = runCircuit(transformer, {}, input, RATE);
    // ρ = (ν + c/3/(1 − cα/3))·R/(L·2π·50 Hz), of nickel iron: see the kernel.
    const { ms, a, k, alpha, c } = { ms: 6.2e5, a: 2, k: 6, alpha: 6.45e-6, c: 0.3 };
    const [reversible, pinned, coupling, kappa] = coefficients;
    expect([reversible, pinned, coupling, kappa]).toEqual([c, 1 - c, (alpha * ms) / a, k / a]);
    const slope = a / ms + c / 3 / (1 - (c * coupling) / 3);
    const rho = (slope * 250) / (5 * 2 * Math.PI * 50);
    // What it adds is what its current drops less than that of its linearisation, slope·dx/dt = 2π·50·(u − ρ·x).
    const step = (Math.PI * 50) / RATE;
    let linear = 0;
    const current = Float64Array.from(added, (value, i) => {
      if (i > 0) linear = (linear * (slope - step * rho) + step * (input[i] + input[i - 1])) / (slope + step * rho);
      return linear - value / rho;
    });
    const expected = magnetise(
      { ms, a, k, alpha, c },
      current.map((x) => x * a),
    );
    let [sum, worst] = [0, 0];
    for (let i = 1; i < input.length; i++) {
      sum += step * (input[i] + input[i - 1] - rho * (current[i] + current[i - 1]));
      worst = Math.max(worst, Math.abs(sum - (expected[i] + current[i] * a) / ms));
    }
    figures.push(
      `transformer: its flux against that of its current by the equation: at most ${worst.toExponential(1)} of saturation off`,
    );
    expect(worst).toBeLessThan(0.01);
  });

  it('is odd: an inverted sound comes out inverted, to the bit', () => {
    const input = Float32Array.from(
      { length: 4096 },
      (_, i) => 0.5 * Math.sin(0.01 * i) + 0.3 * Math.sin(0.0037 * i * 2),
    );
    const up = runCircuit(transformer, {}, input, RATE).added;
    const down = runCircuit(
      transformer,
      {},
      input.map((u) => -u),
      RATE,
    ).added;
    for (let i = 0; i < up.length; i++) expect(down[i]).toBe(-up[i]);
  });

  it('makes no even harmonics of a settled tone', () => {
    const { added, periods, input } = settledTone(50, 0.3);
    const fundamental = harmonic(input, 0, SIZE, periods, 1).size;
    for (const n of [2, 4, 6])
      expect(gainToDb(harmonic(added, 0, SIZE, periods, n).size / fundamental)).toBeLessThan(-110);
  });

  it('keeps a bounded remanence in silence, which creeps off', () => {
    const remanence = (seconds: number) => {
      const burst = Math.round(0.105 * RATE);
      const input = Float32Array.from({ length: burst + Math.round(seconds * RATE) }, (_, i) =>
        i < burst ? 2 * Math.sin((2 * Math.PI * 50 * i) / RATE) : 0,
      );
      return Math.abs(runCircuit(transformer, {}, input, RATE).memory[2]);
    };
    const [soon, later, late] = [0.01, 0.2, 1.5].map(remanence);
    figures.push(
      `transformer: M/Ms 10, 200 and 1500 ms after a burst: ${soon.toFixed(4)}, ${later.toFixed(4)}, ${late.toExponential(1)}`,
    );
    expect(soon).toBeGreaterThan(0.02);
    expect(soon).toBeLessThan(1);
    expect(later).toBeLessThan(soon);
    expect(late).toBeLessThan(1e-4);
  });
});

describe('the stage', () => {
  it('bends low notes and leaves high ones: at 0 dB of drive 1 % at 50 Hz, and 997 Hz below 0.01 %', () => {
    const thd = (frequency: number) => steadyTone([stage('transformer')], { frequency, size: 32_768 }).thdF ?? 0;
    const at = [50, 100, 200, 997].map(thd);
    figures.push(
      `transformer: THD at 50, 100, 200, 997 Hz, 0 dB of drive: ${at.map((v) => (100 * v).toFixed(4)).join(', ')} %`,
    );
    expect(at[0]).toBeGreaterThan(0.009);
    expect(at[1]).toBeLessThan(at[0] / 2);
    expect(at[3]).toBeLessThan(1e-4);
  });

  it('adds nothing linear unless its response is on; then it loses bass and resonates at the top', () => {
    const at = (frequency: number, response: string, sampleRate = 96_000) =>
      steadyTone(
        [stage('transformer', { response, source: 1000, leakage: 20, capacitance: 10, load: 100, coupling: 'dc' })],
        {
          frequency,
          dbfs: -90,
          size: 8192,
          sampleRate,
        },
      ).fundamentalDbfs ?? 0;
    for (const frequency of [23, 47, 997, 9970]) expect(at(frequency, 'off')).toBeCloseTo(-90, 2);
    // R/2πL = 1050 Ω/(2π·5 H) = 33.4 Hz: −3.01 dB there. √(1/LC) is 11.3 kHz.
    const corner = 35;
    expect(at(corner, 'on', 40_960) + 90).toBeCloseTo(-10 * Math.log10(1 + (33.42 / corner) ** 2), 1);
    expect(at(11_000, 'on')).toBeGreaterThan(-88);
    expect(at(22_000, 'on')).toBeLessThan(-98);
  });

  it('has its alias more than 100 dB below a 5 kHz tone at 0 dB of drive', () => {
    for (const core of ['nickel', 'steel']) {
      const { aliasDbc } = steadyTone([stage('transformer', { core, coupling: 'dc' })], { frequency: 4987 });
      expect(aliasDbc).toBeLessThan(-100);
    }
  });

  it.each([8000, 44_100, 192_000])('is the same at %i Hz as at 48 kHz within 0.2 dB of H3', (sampleRate) => {
    // Tones differ by what fits the window; H3 follows by 12 dB an octave.
    const h3 = (rate: number) =>
      dbcOf(steadyTone([stage('transformer')], { frequency: 100, sampleRate: rate, size: 16_384 }), 3) +
      40 * Math.log10(snapFrequency(100, rate, 16_384) / 100);
    expect(Math.abs(h3(sampleRate) - h3(48_000))).toBeLessThan(0.2);
  });

  it('comes back from an overload to what it was', () => {
    const rate = 48_000;
    const seconds = 3;
    const loud = (i: number) => i >= rate / 2 && i < 0.6 * rate;
    const tone = Float32Array.from(
      { length: seconds * rate },
      (_, i) => (loud(i) ? 2 : 0.1) * Math.sin((2 * Math.PI * 60 * i) / rate),
    );
    const [out] = runRack(rack([stage('transformer')]), [tone]);
    const rms = (from: number) => {
      let sum = 0;
      for (let i = from; i < from + 800; i++) sum += (out[i] - tone[i]) ** 2;
      return Math.sqrt(sum / 800);
    };
    expect(rms(2.9 * rate) / rms(0.4 * rate)).toBeCloseTo(1, 2);
  });
});
