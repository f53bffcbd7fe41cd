/** What `toneFigures` reads from exact signals: closed forms of docs/reference-values.md, sections 3 and 4. */
import { describe, expect, it } from 'vitest';
import { gaussian, seededRandom } from '../../../src/dsp/random.ts';
import { sine } from '../../../src/dsp/tones.ts';
import { toneFigures } from '../../../src/measure/tone-bench/tone-figures.ts';
import { numbersIn } from '../../support/bench.ts';

const RATE = 48_000;
const SIZE = 1 << 15;
const hzOf = (bin: number) => (bin * RATE) / SIZE;
const harmonic = (figures: ReturnType<typeof toneFigures>, n: number) => figures.harmonics[n - 2];

describe('toneFigures', () => {
  it('THD_F 48.3426 % and THD_R 43.5236 % for a square: √(π²/8 − 1) and √(1 − 8/π²)', () => {
    // One period; half a sample off, so that no sample falls on the edge. Parseval holds for the sampled square too.
    const square = Float64Array.from({ length: SIZE }, (_, i) => (i + 0.5 < SIZE / 2 ? 1 : -1));
    const figures = toneFigures(square, RATE, hzOf(1));
    expect(figures.thdFPercent).toBeCloseTo(48.3426, 3);
    expect(figures.thdRPercent).toBeCloseTo(43.5236, 3);
    expect(figures.fundamentalDbfs).toBeCloseTo(20 * Math.log10(4 / Math.PI), 6);
    for (let n = 3; n <= 19; n += 2) expect(harmonic(figures, n).dbc).toBeCloseTo(-20 * Math.log10(n), 5);
    expect(figures.oddDbc).toBeCloseTo(20 * Math.log10(0.483426), 4);
    expect(figures.evenDbc ?? -Infinity).toBeLessThan(-250);
  });

  it('half-wave and full-wave: DC and even harmonics 4/π(4k² − 1)', () => {
    const full = sine(SIZE, RATE, hzOf(1), 1, 0.0001).map(Math.abs);
    // Plus a little of the fundamental to have a reference.
    const figures = toneFigures(
      full.map((x, i) => x + 0.1 * Math.sin((2 * Math.PI * i) / SIZE)),
      RATE,
      hzOf(1),
    );
    for (const [n, amplitude] of [
      [2, 0.424413],
      [4, 0.084883],
      [6, 0.036378],
    ]) {
      expect(harmonic(figures, n).dbc).toBeCloseTo(20 * Math.log10(amplitude / 0.1), 3);
    }
    expect(figures.dcDbfs).toBeCloseTo(20 * Math.log10(2 / Math.PI), 5);
    expect(figures.evenDbc ?? 0).toBeGreaterThan((figures.oddDbc ?? 0) + 100);
  });

  it('phase φn − n·φ1 in sine phases, wherever the tone starts', () => {
    for (const start of [0, 0.4, 2.9]) {
      const signal = sine(SIZE, RATE, hzOf(341), 0.5, start);
      const add = (n: number, amplitude: number, degrees: number) => {
        const phase = n * start + (degrees * Math.PI) / 180;
        sine(SIZE, RATE, hzOf(n * 341), amplitude, phase).forEach((x, i) => {
          signal[i] += x;
        });
      };
      add(2, 0.01, 90);
      add(3, 0.005, -60);
      add(5, 0.002, 175);
      const figures = toneFigures(signal, RATE, hzOf(341));
      expect(harmonic(figures, 2).phaseDeg).toBeCloseTo(90, 6);
      expect(harmonic(figures, 3).phaseDeg).toBeCloseTo(-60, 6);
      expect(harmonic(figures, 5).phaseDeg).toBeCloseTo(175, 6);
      // Nothing there but rounding: a level, but no phase.
      expect(harmonic(figures, 4).dbc ?? -Infinity).toBeLessThan(-250);
    }
  });

  it('THD+N by AES17: tone and white noise of known level, 20 Hz to 20 kHz, residual over total', () => {
    const random = seededRandom(17);
    const sigma = 0.001;
    const signal = sine(1 << 17, RATE, (681 * RATE) / SIZE, 0.5).map((x) => x + sigma * gaussian(random));
    const figures = toneFigures(signal, RATE, (681 * RATE) / SIZE);
    // Power of the noise in the band: σ² times the band's share of 0 to 24 kHz; the tone has A²/2.
    const noise = sigma ** 2 * (19_980 / 24_000);
    const expected = 100 * Math.sqrt(noise / (noise + 0.125));
    // 2.7·10⁴ lines of noise: 1 % is five standard deviations.
    expect(Math.abs((figures.thdNPercent ?? 0) / expected - 1)).toBeLessThan(0.01);
    expect(figures.thdFPercent ?? 1).toBeLessThan(0.1 * expected);
    // The floor is told from the noise, and no phase is given for what lies under it.
    expect(figures.floorDbc ?? 0).toBeGreaterThan(-110);
    const buried = figures.harmonics.filter(({ dbc }) => dbc !== null && dbc < (figures.floorDbc ?? 0));
    expect(buried.length).toBeGreaterThan(10);
    for (const { phaseDeg } of buried) expect(phaseDeg).toBeNull();
  });

  it('residual over total, not over the fundamental', () => {
    // Equal parts of fundamental and one line that is no harmonic: 1/√2 of the total.
    const signal = sine(SIZE, RATE, hzOf(681), 0.1).map((x, i) => x + 0.1 * Math.sin((2 * Math.PI * 1500 * i) / SIZE));
    expect(toneFigures(signal, RATE, hzOf(681)).thdNPercent).toBeCloseTo(100 * Math.SQRT1_2, 6);
  });

  it('the band: lines below 20 Hz and above 20 kHz do not count, nor does DC', () => {
    const signal = sine(SIZE, RATE, hzOf(681), 0.1).map(
      (x, i) =>
        0.3 + x + 0.1 * Math.sin((2 * Math.PI * 9 * i) / SIZE) + 0.1 * Math.sin((2 * Math.PI * 14_000 * i) / SIZE),
    );
    const figures = toneFigures(signal, RATE, hzOf(681));
    expect(figures.thdNPercent ?? 1).toBeLessThan(1e-6);
    expect(figures.aliasDbc ?? -Infinity).toBeLessThan(-200);
    expect(figures.dcDbfs).toBeCloseTo(20 * Math.log10(0.3), 9);
  });

  it('aliases are told from harmonics: T5, T7, T9, T11 of 5 kHz fold to 23, 13, 3 and 7 kHz at 48 kHz', () => {
    // Section 3, "Aliasing". Snapped to an odd number of periods, so no alias falls on a harmonic.
    const bin = 3413;
    const tone = Float64Array.from({ length: SIZE }, (_, i) => Math.cos((2 * Math.PI * ((bin * i) % SIZE)) / SIZE));
    const chebyshev = (n: number, x: number) => Math.cos(n * Math.acos(Math.max(-1, Math.min(1, x))));
    const levels = { 3: 0.01, 5: 0.02, 7: 0.001, 9: 0.002, 11: 0.003 };
    const signal = tone.map((x) => {
      let y = x;
      for (const [n, level] of Object.entries(levels)) y += level * chebyshev(Number(n), x);
      return y;
    });
    const figures = toneFigures(signal, RATE, hzOf(bin));
    expect(harmonic(figures, 3).dbc).toBeCloseTo(-40, 6);
    for (let n = 5; n <= 20; n++) expect(harmonic(figures, n), `H${n}`).toEqual({ n, dbc: null, phaseDeg: null });
    // 23 kHz lies above the band; the other three are in it.
    expect(figures.aliasDbc).toBeCloseTo(10 * Math.log10(0.001 ** 2 + 0.002 ** 2 + 0.003 ** 2), 5);
    expect(figures.thdFPercent).toBeCloseTo(1, 6);
  });

  it('a tone without room for a harmonic has no THD, rather than 0', () => {
    const figures = toneFigures(sine(SIZE, RATE, hzOf(9001), 0.5), RATE, hzOf(9001));
    expect([figures.thdFPercent, figures.thdRPercent, figures.evenDbc, figures.oddDbc]).toEqual([
      null,
      null,
      null,
      null,
    ]);
    expect(figures.harmonics.every(({ dbc, phaseDeg }) => dbc === null && phaseDeg === null)).toBe(true);
    expect(figures.fundamentalDbfs).toBeCloseTo(-6.0206, 4);
  });

  it('silence has no figures and no NaN', () => {
    const figures = toneFigures(new Float64Array(SIZE), RATE, hzOf(681));
    expect(figures.fundamentalDbfs).toBeNull();
    expect(figures.thdFPercent).toBeNull();
    expect(figures.thdNPercent).toBeNull();
    expect(figures.dcDbfs).toBeNull();
    expect(numbersIn(figures).every(Number.isFinite)).toBe(true);
  });
});
