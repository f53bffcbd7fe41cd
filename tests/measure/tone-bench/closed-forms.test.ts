/**
 * The bench on the real engine (single precision, over-sampled, filtered, AC coupled) against the closed forms of the
 * docs/reference-values.md, section 3: within 0.01 dB for everything above −100 dBc.
 */
import { describe, expect, it } from 'vitest';
import { gainToDb } from '../../../src/dsp/units.ts';
import { runBench } from '../../support/bench.ts';
import { arctangentSeries, cubicSeries, hardClipSeries, rootSeries, tanhSeries } from '../../support/closed-series.ts';
import { drivenTo } from '../../support/curve-drive.ts';
import { stage } from '../../support/rig.ts';

const TOLERANCE_DB = 0.01;
const LOWEST_DBC = -100;

const curves: { name: string; params: Record<string, number | string>; amplitude: number; b: number[] }[] = [
  ...[1.2, 2, 4].map((amplitude) => ({
    name: 'hard clip',
    params: { curve: 'algebraic', knee: 100 },
    amplitude,
    b: hardClipSeries(amplitude),
  })),
  ...[0.5, 1].map((amplitude) => ({
    name: 'cubic',
    params: { curve: 'cubic' },
    amplitude,
    b: cubicSeries(amplitude),
  })),
  ...[0.3, 1, 3].map((amplitude) => ({
    name: 'arctangent',
    params: { curve: 'arctangent' },
    amplitude,
    b: arctangentSeries(amplitude),
  })),
  ...[0.3, 1, 3].map((amplitude) => ({ name: 'tanh', params: {}, amplitude, b: tanhSeries(amplitude) })),
  ...[0.3, 1, 3].map((amplitude) => ({
    name: 'x/√(1+x²)',
    params: { curve: 'algebraic', knee: 2 },
    amplitude,
    b: rootSeries(amplitude),
  })),
];

/** THD_F of the reference values, per cent; harmonics above 20 kHz are out of the rack's band. */
const sumTo = (b: number[], highest: number) =>
  (100 * Math.sqrt(b.slice(1, highest).reduce((sum, x) => sum + x * x, 0))) / Math.abs(b[0]);

const COUPLING_HZ = 2;
const degrees = (radians: number) => (radians * 180) / Math.PI;
/** −180 to 180. */
const turned = (angle: number) => angle - 360 * Math.round(angle / 360);

/**
 * Phase φn − n·φ1 of a memoryless odd curve, sine phases: 0° or 180° by the signs of bₙ and b₁, but for the AC coupling
 * of what the stage adds, H = jf/(jf + 2 Hz): the fundamental is A + (b₁ − A)·H(f), harmonic n is bₙ·H(nf).
 */
function coupledPhase(b: number[], amplitude: number, n: number): number {
  const lead = (f: number) => Math.atan2(COUPLING_HZ, f);
  const f = 997;
  const share = (b[0] - amplitude) * Math.cos(lead(f));
  const first = Math.atan2(share * Math.sin(lead(f)), amplitude + share * Math.cos(lead(f)));
  return degrees((b[n - 1] > 0 ? 0 : Math.PI) + lead(n * f) - n * first);
}

describe('curves', () => {
  it.each(curves)('$name at A = $amplitude', ({ params, amplitude, b }) => {
    const result = runBench('tone', [drivenTo('soft-clip', params, amplitude)]);
    expect(Math.abs((result.gainDb ?? Number.NaN) - gainToDb(b[0] / amplitude)), 'H1').toBeLessThan(0.001);
    expect(result.harmonics.map(({ n }) => n)).toEqual(Array.from({ length: 19 }, (_, i) => i + 2));
    let compared = 0;
    for (const { n, dbc, phaseDeg } of result.harmonics) {
      const expected = gainToDb(b[n - 1] / b[0]);
      if (expected < LOWEST_DBC) {
        expect(dbc ?? -Infinity, `H${n}`).toBeLessThan(LOWEST_DBC + 0.1);
        continue;
      }
      compared++;
      expect(Math.abs((dbc ?? Number.NaN) - expected), `H${n} ${dbc} against ${expected}`).toBeLessThan(TOLERANCE_DB);
      expect(Math.abs(turned((phaseDeg ?? Number.NaN) - coupledPhase(b, amplitude, n))), `phase of H${n}`).toBeLessThan(
        0.1,
      );
    }
    expect(compared).toBeGreaterThan(0);
    expect(Math.abs((result.thdFPercent ?? 0) / sumTo(b, 20) - 1)).toBeLessThan(0.002);
    expect(result.evenDbc ?? -Infinity).toBeLessThan(-120);
    expect(Math.abs(result.smallSignalGainDb ?? Number.NaN), 'small signals keep their level').toBeLessThan(0.001);
  });

  it('the series give the reference values', () => {
    expect(
      hardClipSeries(2)
        .filter((x) => x !== 0)
        .slice(0, 5),
    ).toEqual([1.2179956, 0.2756644, 0.0551329, -0.0196903, -0.0275664].map((x) => expect.closeTo(x, 7)));
    expect(
      arctangentSeries(1)
        .filter((x) => x !== 0)
        .slice(0, 3),
    ).toEqual([0.82842712, 0.04737854, 0.00487732].map((x) => expect.closeTo(x, 8)));
    expect(tanhSeries(1)[0]).toBeCloseTo(0.811676, 6);
    expect(tanhSeries(1)[2]).toBeCloseTo(0.0542458, 7);
    expect(rootSeries(1)[0]).toBeCloseTo(0.7627597635, 9);
    expect(rootSeries(1)[2]).toBeCloseTo(0.0626077, 7);
    expect(sumTo(cubicSeries(0.5), 20)).toBeCloseTo(100 * 10 ** (-33.0643 / 20), 4);
  });
});

describe('Chebyshev levels', () => {
  // Tₙ of a full-scale cosine is a pure n-th harmonic (DLMF 18.5.1), so a sine at the alignment level gets the levels set.
  const set = { h2: -26, h3: -31, h4: -47, h5: -52.5, h6: -71, h7: -95 };
  it.each([44_100, 48_000, 96_000])('come out as set at %i Hz', (sampleRate) => {
    const result = runBench('tone', [stage('harmonic-set', set)], {}, { sampleRate });
    for (const [id, level] of Object.entries(set)) {
      const n = Number(id.slice(1));
      expect(Math.abs((result.harmonics[n - 2].dbc ?? Number.NaN) - level), id).toBeLessThan(TOLERANCE_DB);
    }
    for (const { n, dbc } of result.harmonics.slice(6)) expect(dbc ?? -Infinity, `H${n}`).toBeLessThan(-120);
    const power = (orders: number[]) => orders.reduce((sum, n) => sum + 10 ** (set[`h${n}` as 'h2'] / 10), 0);
    expect(result.evenDbc).toBeCloseTo(10 * Math.log10(power([2, 4, 6])), 2);
    expect(result.oddDbc).toBeCloseTo(10 * Math.log10(power([3, 5, 7])), 2);
    const all = power([2, 3, 4, 5, 6, 7]);
    expect(result.thdFPercent).toBeCloseTo(100 * Math.sqrt(all), 2);
    expect(result.thdRPercent).toBeCloseTo(100 * Math.sqrt(all / (1 + all)), 2);
  });
});
