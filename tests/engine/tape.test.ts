/**
 * Tape: its equalisations (IASA TC-04, 5.4.10; levels from the time constants in docs/reference-values.md, section 6), and
 * common practice of what a biased tape does: third harmonic by the square of the level, no even ones, 3 % at the maximum
 * output level. The core's own figures are in magnetics.test.ts.
 */
import { afterAll, describe, expect, it } from 'vitest';
import { gainToDb } from '../../src/dsp/units.ts';
import { tape } from '../../src/engine/stages/tape.ts';
import { harmonic, runCircuit } from '../support/circuit-rig.ts';
import { rack, runRack, stage } from '../support/rig.ts';
import { dbcOf, steadyTone } from '../support/steady-tone.ts';

const figures: string[] = [];
afterAll(() => console.log(figures.join('\n')));

type Settings = Record<string, number | string>;

const RATE = 192_000;

/** Level of the flux on the tape for a weak tone of constant level, dB against 1 kHz, by time constants in µs. */
function standard(hz: number, high: number, low: number | null): number {
  const level = (f: number) => {
    const bass = low === null ? 0 : 10 * Math.log10(1 + 1 / (2 * Math.PI * f * low * 1e-6) ** 2);
    return bass - 10 * Math.log10(1 + (2 * Math.PI * f * high * 1e-6) ** 2);
  };
  return level(hz) - level(1000);
}

/** The field at the tape's surface for a weak tone, dB against 1 kHz, less what is made up for short waves: the flux. */
function fluxAt(hz: number, speed: string, metresASecond: number): number {
  const level = (f: number) => {
    // The core's field after each frame of the last tenth of a second isn't told; the memory after a run is its last one, so
    // the tone ends at its peak and at its zero.
    const length = Math.round(RATE * (f < 200 ? 1.2 : 0.2));
    const ending = (phase: number) => {
      const input = Float32Array.from(
        { length },
        (_, i) => 1e-3 * Math.cos((2 * Math.PI * f * (i - length + 1)) / RATE + phase),
      );
      // As good as fully biased, where a core is kept.
      return runCircuit(tape, { speed, underBias: 1e-3 }, input, RATE).memory[0];
    };
    const field = Math.hypot(ending(0), ending(Math.PI / 2));
    // (1 − p·z⁻¹)/(1 − p) with p = exp(−v/(depth·rate)), depth 16 µm: see the kernel.
    const p = Math.exp(-metresASecond / (16e-6 * RATE));
    const w = (2 * Math.PI * f) / RATE;
    const waves = Math.hypot(1 - p * Math.cos(w), p * Math.sin(w)) / (1 - p);
    return gainToDb(field / waves);
  };
  return level(hz) - level(1000);
}

describe('the flux on the tape', () => {
  it('has the figures of the reference values: NAB 50 Hz +3.411, 10 kHz −9.964; IEC 15 in/s 10 kHz −7.456, 20 kHz −12.879', () => {
    expect(standard(50, 50, 3180)).toBeCloseTo(3.411, 2);
    expect(Math.abs(fluxAt(50, '15-nab', 0.381) - 3.411)).toBeLessThan(0.05);
    expect(Math.abs(fluxAt(10_000, '15-nab', 0.381) + 9.964)).toBeLessThan(0.05);
    expect(Math.abs(fluxAt(10_000, '15-iec', 0.381) + 7.456)).toBeLessThan(0.05);
    expect(Math.abs(fluxAt(20_000, '15-iec', 0.381) + 12.879)).toBeLessThan(0.05);
  });

  it.each([
    ['7-nab', 0.1905, 50, 3180],
    ['7-iec', 0.1905, 70, null],
    ['15-nab', 0.381, 50, 3180],
    ['15-iec', 0.381, 35, null],
    ['30', 0.762, 17.5, null],
  ] as const)('follows %s within 0.05 dB from 40 Hz to 20 kHz', (speed, metresASecond, high, low) => {
    let worst = 0;
    for (const hz of [40, 50, 100, 2000, 5000, 10_000, 15_000, 20_000]) {
      worst = Math.max(worst, Math.abs(fluxAt(hz, speed, metresASecond) - standard(hz, high, low)));
    }
    figures.push(`tape ${speed}: equalisation at most ${worst.toFixed(3)} dB off`);
    expect(worst).toBeLessThan(0.05);
  });
});

describe('the stage', () => {
  it('makes no even harmonics above −90 dBc, at any setting', () => {
    const all: Settings[] = [{}, { speed: '7-nab', drive: 12 }, { underBias: 50, drive: 12 }];
    for (const params of all) {
      const tone = steadyTone([stage('tape', { coupling: 'dc', ...params })], { size: 32_768 });
      for (const n of [2, 4, 6]) expect(dbcOf(tone, n), `H${n}`).toBeLessThan(-90);
    }
  });

  it('raises the third harmonic by 2 dB a dB of level where it is small', () => {
    const h3 = (dbfs: number) => dbcOf(steadyTone([stage('tape')], { dbfs }), 3);
    const levels = [-36, -30, -24].map(h3);
    figures.push(`tape: H3 at −36, −30, −24 dBFS ${levels.map((v) => v.toFixed(2)).join(', ')} dBc`);
    for (const i of [1, 2]) expect((levels[i] - levels[i - 1]) / 6).toBeCloseTo(2, 1);
  });

  it.each(['185', '200', '250', '320'])(
    'with %s nWb/m at the operating level makes 3 % third harmonic at 580',
    (fluxivity) => {
      const above = 20 * Math.log10(580 / Number(fluxivity));
      const h3 = dbcOf(steadyTone([stage('tape', { fluxivity })], { dbfs: -18 + above }), 3);
      // 3 % is −30.46 dBc; H3 rises by nearly 2 dB a dB, so 0.2 dB of it is 0.1 dB of level.
      expect(Math.abs(h3 + 30.46)).toBeLessThan(0.2);
    },
  );

  it('works the highs harder the slower it runs', () => {
    const third = (speed: string) =>
      gainToDb(
        (() => {
          // 6 kHz and its third harmonic, by itself at a rate where nothing folds.
          const length = 19_200;
          const input = Float32Array.from({ length }, (_, i) => 0.8 * Math.sin((2 * Math.PI * 6000 * i) / RATE));
          const { added } = runCircuit(tape, { speed }, input, RATE);
          return harmonic(added, 9600, 9600, 300, 3).size / 0.8;
        })(),
      );
    const [slow, middle, fast] = ['7-iec', '15-iec', '30'].map(third);
    figures.push(
      `tape: H3 of 6 kHz at 7½, 15, 30 in/s: ${[slow, middle, fast].map((v) => v.toFixed(1)).join(', ')} dBc`,
    );
    expect(slow).toBeGreaterThan(middle - 1);
    expect(Math.abs(middle - fast)).toBeLessThan(6);
  });

  it('adds nothing linear, so that clean and coloured null at small levels', () => {
    for (const speed of ['7-nab', '7-iec', '15-nab', '15-iec', '30']) {
      for (const frequency of [47, 997, 9970]) {
        const { fundamentalDbfs } = steadyTone([stage('tape', { speed, drive: 12 })], {
          frequency,
          dbfs: -80,
          size: 8192,
        });
        expect(fundamentalDbfs).toBeCloseTo(-80, 4);
      }
    }
    const length = 48_000;
    const weak = Float32Array.from({ length }, (_, i) => 1e-4 * Math.sin(0.07 * i) + 5e-5 * Math.sin(1.1 * i));
    const [out] = runRack(rack([stage('tape', { speed: '7-nab' })]), [weak]);
    let worst = 0;
    for (let i = 200; i < length - 200; i++) worst = Math.max(worst, Math.abs(out[i] - weak[i]));
    expect(gainToDb(worst / 1.5e-4)).toBeLessThan(-120);
  });

  it('bumps in the bass and loses the top to the gap only with its response on', () => {
    const at = (frequency: number, response: string) =>
      (steadyTone([stage('tape', { response, gap: 12, speed: '7-iec', coupling: 'dc' })], {
        frequency,
        dbfs: -80,
        size: 16_384,
      }).fundamentalDbfs ?? 0) + 80;
    // Waves of 8 mm at 0.1905 m/s: 23.8 Hz. The gap's sin(y)/y at 9970 Hz, y = π·f·12 µm/0.1905 m/s: −6.6 dB; the low-pass
    // that has its first term gives less.
    expect(at(23.8, 'on')).toBeGreaterThan(1.5);
    expect(at(9970, 'on')).toBeLessThan(-3);
    expect(at(997, 'on')).toBeCloseTo(0, 0);
    for (const frequency of [23.8, 9970]) expect(at(frequency, 'off')).toBeCloseTo(0, 3);
  });

  it('less biased has a loop, loses what is soft, and comes back from what was loud', () => {
    const level = (dbfs: number) =>
      (steadyTone([stage('tape', { underBias: 50 })], { dbfs }).fundamentalDbfs ?? 0) - dbfs;
    expect(level(-18) - level(-60)).toBeGreaterThan(0.5);
    const h3 = (underBias: number) => dbcOf(steadyTone([stage('tape', { underBias })], { dbfs: -40 }), 3);
    expect(h3(30)).toBeGreaterThan(h3(0) + 20);
  });

  it('has its alias more than 100 dB below a 5 kHz tone at 0 dB of drive', () => {
    const all: Settings[] = [{}, { speed: '7-nab' }, { speed: '30' }, { underBias: 5 }];
    for (const params of all) {
      const { aliasDbc } = steadyTone([stage('tape', { coupling: 'dc', ...params })], {
        frequency: 4987,
        size: 32_768,
      });
      figures.push(`tape ${JSON.stringify(params)}: alias of 5 kHz ${aliasDbc?.toFixed(1)} dBc`);
      expect(aliasDbc).toBeLessThan(-100);
    }
  });

  it.each([8000, 44_100, 192_000])('is the same at %i Hz as at 48 kHz within 0.1 dB of H3', (sampleRate) => {
    const h3 = (rate: number) => dbcOf(steadyTone([stage('tape')], { sampleRate: rate }), 3);
    expect(Math.abs(h3(sampleRate) - h3(48_000))).toBeLessThan(0.1);
  });
});
