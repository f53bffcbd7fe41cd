/**
 * Spectra of simple curves in closed form, as checks of the harmonic analysis. 2^16 samples hold whole periods, double
 * precision, no window. Formulas: Fourier series by hand; Bessel functions DLMF 10.35.2; Chebyshev DLMF 18.5.1;
 * figures confirmed outside this project by quadrature.
 */
import { describe, expect, it } from 'vitest';
import { analyseHarmonics, type HarmonicAnalysis, spectralLine } from '../../src/dsp/harmonics.ts';
import { sine, twoTone } from '../../src/dsp/tones.ts';
import { near } from './report.ts';

const SIZE = 65_536;
const SMOOTH = 1e-9;
const KINKED = 1e-8;

/** With the rate equal to the size, frequencies are bins. One period fills the frame. */
function analyse(curve: (x: number) => number, amplitude = 1, phase = 0, maxOrder = 40): HarmonicAnalysis {
  return analyseHarmonics(sine(SIZE, SIZE, 1, amplitude, phase).map(curve), SIZE, 1, maxOrder);
}

/** Signed amplitude of order n of a sine's series: what stands at 0° counts +, at 180° −. */
function signed(result: HarmonicAnalysis, n: number): number {
  if (n === 1) return result.fundamentalAmplitude;
  const { dbc, phaseDeg } = result.harmonics[n - 2];
  return dbc === null
    ? 0
    : result.fundamentalAmplitude * 10 ** (dbc / 20) * Math.cos(((phaseDeg ?? 0) * Math.PI) / 180);
}

/** Size of order n. */
function size(result: HarmonicAnalysis, n: number): number {
  const dbc = n === 1 ? 0 : result.harmonics[n - 2].dbc;
  return dbc === null ? 0 : result.fundamentalAmplitude * 10 ** (dbc / 20);
}

const clip = (x: number) => Math.max(-1, Math.min(1, x));
const algebraic = (x: number) => x / Math.sqrt(1 + x * x);

describe('hard clip of A·sin at ±1', () => {
  for (const { amplitude, values, thd } of [
    { amplitude: 1.2, values: { 1: 1.104474, 3: 0.0716843, 5: -0.0366386 }, thd: 7.3847 },
    { amplitude: 2, values: { 1: 1.2179956, 3: 0.2756644, 5: 0.0551329, 7: -0.0196903, 9: -0.0275664 }, thd: 23.2938 },
    { amplitude: 10, values: {}, thd: 43.0397 },
  ]) {
    it(`A = ${amplitude}`, () => {
      const result = analyse(clip, amplitude, 0, 20_000);
      const angle = Math.asin(1 / amplitude);
      near(signed(result, 1), ((2 * amplitude) / Math.PI) * (angle + Math.sin(2 * angle) / 2), KINKED, 'b1');
      for (const n of [3, 5, 7, 9, 11]) {
        const series = Math.sin((n - 1) * angle) / (n - 1) + Math.sin((n + 1) * angle) / (n + 1);
        near(signed(result, n), ((2 * amplitude) / (Math.PI * n)) * series, KINKED, `b${n}`);
      }
      for (const [n, value] of Object.entries(values)) near(signed(result, Number(n)), value, 1e-7, `printed b${n}`);
      near(100 * (result.thdF as number), thd, 1e-4, 'THD_F %');
    });
  }

  it('A = 2: third harmonic at −12.905 dBc', () => near(analyse(clip, 2).harmonics[1].dbc, -12.905, 5e-4));
});

describe('wave shapes', () => {
  it('square: 4/πn, THD_F 48.3426 % against THD_R 43.5236 %', () => {
    // Half a sample off the crossings, so that no sample is 0; a sampled square's lines are 4/(N·sin(πn/N)).
    const result = analyse(Math.sign, 1, Math.PI / SIZE, SIZE / 2);
    for (const n of [1, 3, 5, 21]) near(signed(result, n), 4 / (SIZE * Math.sin((Math.PI * n) / SIZE)), SMOOTH);
    near(signed(result, 1), 4 / Math.PI, 1e-8);
    near(result.thdF, Math.sqrt(Math.PI ** 2 / 8 - 1), 1e-8);
    near(100 * (result.thdF as number), 48.3426, 1e-4);
    near(100 * (result.thdR as number), 43.5236, 1e-4);
  });

  it('triangle: THD_F 12.1153 %', () => {
    const result = analyse((x) => Math.asin(Math.max(-1, Math.min(1, x))), 1, 0, 2000);
    near(100 * (result.thdF as number), 12.1153, 1e-4);
  });

  it('sawtooth: THD_F 80.3078 %', () => {
    const ramp = Float64Array.from({ length: SIZE }, (_, i) => (2 * i + 1) / SIZE - 1);
    const result = analyseHarmonics(ramp, SIZE, 1, SIZE / 2);
    // The line on half the rate belongs to no order below it: 1/SIZE of the whole, hence the tolerance.
    near(100 * (result.thdF as number), 80.3078, 1e-3);
  });

  it('full-wave rectified: DC 2/π, even orders only', () => {
    // The line at |sin|'s own frequency is the input's second order, so a trace of the input keeps order 1 in place.
    const trace = 1e-3;
    const result = analyse((x) => Math.abs(x) + trace * x);
    near(result.dc, 2 / Math.PI, KINKED);
    near(result.fundamentalAmplitude, trace, SMOOTH);
    for (const k of [1, 2, 3]) near(size(result, 2 * k), 4 / (Math.PI * (4 * k * k - 1)), KINKED);
    near(size(result, 2), 0.424413, 1e-6);
    near(size(result, 4), 0.084883, 1e-6);
    near(size(result, 6), 0.036378, 1e-6);
    for (const n of [3, 5, 7]) near(size(result, n), 0, SMOOTH);
  });

  it('half-wave rectified: DC 1/π, fundamental ½', () => {
    const result = analyse((x) => Math.max(0, x));
    near(result.dc, 1 / Math.PI, KINKED);
    near(signed(result, 1), 0.5, SMOOTH);
    near(size(result, 2), 0.212207, 1e-6);
    near(size(result, 4), 0.042441, 1e-6);
    for (const k of [1, 2, 3]) near(size(result, 2 * k), 2 / (Math.PI * (4 * k * k - 1)), KINKED);
  });
});

describe('smooth curves', () => {
  it('x − x³/3', () => {
    const half = analyse((x) => x - x ** 3 / 3, 0.5);
    near(signed(half, 1), 0.46875, SMOOTH);
    near(signed(half, 3), 0.25 / 24, SMOOTH);
    near(half.harmonics[1].dbc, -33.0643, 5e-5);
    const full = analyse((x) => x - x ** 3 / 3);
    near(signed(full, 1), 0.75, SMOOTH);
    near(signed(full, 3), 1 / 12, SMOOTH);
    near(full.harmonics[1].dbc, -19.0849, 5e-5);
    expect(full.harmonics[0].dbc as number).toBeLessThan(-280);
  });

  it('x + a·x²: DC equals the second harmonic, which stands at −90°', () => {
    const result = analyse((x) => x + 0.2 * x * x, 0.5);
    near(result.dc, 0.025, SMOOTH);
    near(size(result, 2), 0.025, SMOOTH);
    near(result.harmonics[0].phaseDeg, -90, 1e-6);
  });

  it('atan: (2/n)·tⁿ', () => {
    for (const amplitude of [0.3, 1, 2]) {
      const t = (Math.sqrt(1 + amplitude ** 2) - 1) / amplitude;
      const result = analyse(Math.atan, amplitude);
      for (const n of [1, 3, 5, 7]) near(signed(result, n), (2 / n) * t ** n, SMOOTH, `A ${amplitude}, n ${n}`);
    }
    const one = analyse(Math.atan);
    [0.82842712, 0.04737854, 0.00487732].forEach((value, k) => {
      near(size(one, 2 * k + 1), value, 1e-8);
    });
    near(one.harmonics[1].dbc, -24.8535, 5e-5);
  });

  it('tanh: 4·Σ tₖⁿ/√(dₖ² + A²)', () => {
    const result = analyse(Math.tanh);
    for (const n of [3, 5, 7]) {
      let sum = 0;
      for (let k = 1; k <= 4000; k++) {
        const d = ((2 * k - 1) * Math.PI) / 2;
        sum += ((Math.sqrt(d * d + 1) - d) ** n * 4) / Math.sqrt(d * d + 1);
      }
      near(signed(result, n), sum, SMOOTH);
    }
    near(size(result, 1), 0.811676, 5e-7);
    near(size(result, 3), 0.0542458, 5e-8);
    near(size(result, 5), 0.00451682, 5e-9);
    near(result.harmonics[1].dbc, -23.5003, 5e-5);
  });

  it('x/√(1 + x²): elliptic integrals', () => {
    const result = analyse(algebraic);
    near(size(result, 1), 0.7627597635, 1e-9);
    near(size(result, 3), 0.0626077, 1e-7);
  });

  it('exp(A·cos) − 1: modified Bessel functions', () => {
    const bessel = [1.2660658778, 0.565159104, 0.1357476698, 0.0221684249, 0.0027371202];
    const result = analyse((x) => Math.expm1(x), 1, Math.PI / 2);
    near(result.dc, bessel[0] - 1, 1e-9);
    for (const n of [1, 2, 3, 4]) near(size(result, n), 2 * bessel[n], 1e-9);
    near(100 * (result.thdF as number), 24.3424, 1e-4);
    near(100 * (analyse((x) => Math.expm1(x), 0.25, Math.PI / 2).thdF as number), 6.23919, 1e-5);
  });

  it('Chebyshev polynomials make one pure harmonic of a full-scale cosine', () => {
    // A trace of the input is kept as the fundamental.
    const trace = 1e-6;
    for (const n of [2, 3, 5, 8]) {
      const result = analyse((x) => Math.cos(n * Math.acos(clip(x))) + trace * x, 1, Math.PI / 2, 12);
      for (let order = 2; order <= 12; order++) near(size(result, order), order === n ? 1 : 0, SMOOTH, `T${n}`);
    }
  });
});

describe('two tones through a₁x + a₂x² + a₃x³', () => {
  it('has the printed sums and differences', () => {
    const [f1, f2] = [700, 1900];
    const input = twoTone(SIZE, SIZE, { frequency: f1, amplitude: 0.5 }, { frequency: f2, amplitude: 0.3 });
    const output = input.map((x) => x + 0.1 * x * x + 0.05 * x ** 3);
    for (const [frequency, amplitude] of [
      [0, 0.017],
      [f1, 0.5080625],
      [f2, 0.3066375],
      [2 * f1, 0.0125],
      [f2 + f1, 0.015],
      [f2 - f1, 0.015],
      [3 * f1, 0.0015625],
      [f2 + 2 * f1, 0.0028125],
      [f2 - 2 * f1, 0.0028125],
      [2 * f2 - f1, 0.0016875],
      [2 * f2 + f1, 0.0016875],
    ]) {
      near(spectralLine(output, SIZE, frequency).amplitude, amplitude, SMOOTH, `${frequency}`);
    }
  });

  it('with equal tones: IM2 is 6.02 dB above HD2, IM3 9.54 dB above HD3', () => {
    const line = (data: Float64Array, f: number) => 20 * Math.log10(spectralLine(data, SIZE, f).amplitude);
    const input = twoTone(SIZE, SIZE, { frequency: 700, amplitude: 0.5 }, { frequency: 1900, amplitude: 0.5 });
    const square = input.map((x) => x + 0.05 * x * x);
    const cube = input.map((x) => x + 0.05 * x ** 3);
    near(line(square, 1200) - line(square, 1400), 6.0206, 1e-4);
    near(line(cube, 2 * 1900 - 700) - line(cube, 3 * 700), 9.5424, 1e-4);
  });
});

/** Test pairs of SMPTE RP 120 (60 Hz + 7 kHz, 4:1) and ITU-R (19 + 20 kHz, 1:1), figures as in IEC 60268-3. */
describe('intermodulation in per cent', () => {
  const rate = 48_000;
  const lines = (f1: number, f2: number, a1: number, a2: number, curve: (x: number) => number) => {
    const input = twoTone(rate, rate, { frequency: f1, amplitude: a1 }, { frequency: f2, amplitude: a2 });
    const output = input.map(curve);
    return (frequency: number) => spectralLine(output, rate, frequency).amplitude;
  };
  const square = (x: number) => x + 0.05 * x * x;
  const cube = (x: number) => x + 0.05 * x ** 3;

  it('4:1: 8.0000 % of second and 4.573606 % of third order', () => {
    const second = lines(60, 7000, 0.8, 0.2, square);
    near((100 * (second(6940) + second(7060))) / second(7000), 8, 1e-6);
    const third = lines(60, 7000, 0.8, 0.2, cube);
    near((100 * (third(6880) + third(7120))) / third(7000), 4.573606, 1e-6);
  });

  it('1:1: difference tone 1.2500 %, third order 0.911854 %', () => {
    const second = lines(19_000, 20_000, 0.5, 0.5, square);
    near(second(1000), 0.0125, SMOOTH);
    near((100 * second(1000)) / (2 * second(20_000)), 1.25, 1e-6);
    const third = lines(19_000, 20_000, 0.5, 0.5, cube);
    near(third(18_000), 0.0046875, SMOOTH);
    near((100 * (third(18_000) + third(21_000))) / (2 * third(20_000)), 0.911854, 1e-6);
  });
});

describe('curves in series', () => {
  it('T₂∘T₃ = T₃∘T₂ = T₆', () => {
    const t2 = (x: number) => 2 * x * x - 1;
    const t3 = (x: number) => 4 * x ** 3 - 3 * x;
    for (const chain of [(x: number) => t2(t3(x)), (x: number) => t3(t2(x))]) {
      const result = analyse((x) => chain(x) + 1e-6 * x, 1, Math.PI / 2, 12);
      for (let n = 2; n <= 12; n++) near(size(result, n), n === 6 ? 1 : 0, SMOOTH);
    }
  });

  it('n stages x/√(1 + x²) are one x/√(1 + n·x²)', () => {
    const three = analyse((x) => algebraic(algebraic(algebraic(x))));
    const one = analyse((x) => x / Math.sqrt(1 + 3 * x * x));
    for (const n of [1, 3, 5, 7]) near(signed(three, n), signed(one, n), SMOOTH);
  });

  it('two stages x + a·x³ double the third harmonic of one, to first order', () => {
    const stage = (a: number) => (x: number) => x + a * x ** 3;
    const rise = (a: number) => {
      const f = stage(a);
      return (analyse((x) => f(f(x)), 0.5).harmonics[1].dbc as number) - (analyse(f, 0.5).harmonics[1].dbc as number);
    };
    near(rise(1e-5), 6.0206, 1e-3);
    // x + 2a·x³ + 3a²·x⁵ + 3a³·x⁷ + a⁴·x⁹ over x + a·x³ at a = 0.1, A = 0.5, as ratios of third harmonics.
    near(
      20 *
        Math.log10(
          size(
            analyse((x) => stage(0.1)(stage(0.1)(x)), 0.5),
            3,
          ) / size(analyse(stage(0.1), 0.5), 3),
        ),
      6.43,
      0.01,
    );
  });

  it('an opposite cubic takes the third harmonic down to second order', () => {
    const a = 0.01;
    const f = (x: number) => x + a * x ** 3;
    const both = analyse((x) => f(x) - a * f(x) ** 3, 0.5);
    // −3a²x⁵ feeds order 3 with −3a²·(5/16)A⁵·(−1) in size.
    near(size(both, 3), 3 * a * a * (5 / 16) * 0.5 ** 5, 3e-8);
    expect(size(both, 3)).toBeLessThan(size(analyse(f, 0.5), 3) / 50);
  });

  it('a trim before the curve moves H2 by its dB and H3 by twice that; after it, neither', () => {
    const rise = (curve: (x: number) => number, n: number) =>
      (analyse(curve, 0.02).harmonics[n - 2].dbc as number) - (analyse(curve, 0.01).harmonics[n - 2].dbc as number);
    near(
      rise((x) => x + 0.1 * x * x, 2),
      6.0206,
      1e-6,
    );
    near(
      rise((x) => x + 0.1 * x ** 3, 3),
      12.0412,
      1e-3,
    );
    const curve = (x: number) => x + 0.1 * x * x;
    near(analyse((x) => 2 * curve(x), 0.1).harmonics[0].dbc, analyse(curve, 0.1).harmonics[0].dbc as number, SMOOTH);
  });
});

describe('aliases', () => {
  it('T₅, T₇, T₉ and T₁₁ of 5 kHz at 48 kHz land at 23, 13, 3 and 7 kHz', () => {
    const rate = 48_000;
    const tone = sine(rate, rate, 5000, 1, Math.PI / 2);
    for (const [order, landing] of [
      [5, 23_000],
      [7, 13_000],
      [9, 3000],
      [11, 7000],
    ]) {
      const shaped = tone.map((x) => Math.cos(order * Math.acos(clip(x))));
      near(spectralLine(shaped, rate, landing).amplitude, 1, 1e-7, `T${order}`);
    }
  });
});
