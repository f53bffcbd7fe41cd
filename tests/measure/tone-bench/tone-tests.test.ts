/** Tone, sweeps and floor through the real engine: laws of mild curves (section 3), rates, levels, settling. */
import { describe, expect, it } from 'vitest';
import { alignmentAmplitude } from '../../../src/engine/calibration.ts';
import { findStageKind } from '../../../src/engine/stages/catalogue.ts';
import type { BenchResult } from '../../../src/measure/tone-bench/result.ts';
import { numbersIn, runBench } from '../../support/bench.ts';
import { tanhSeries } from '../../support/closed-series.ts';
import { drivenTo } from '../../support/curve-drive.ts';
import { stage } from '../../support/rig.ts';

const asymmetric = () => stage('soft-clip', { bias: 60, drive: 6 });

describe('tone', () => {
  it('snaps to an odd number of periods and reports the frequency', () => {
    const { tones, windowSamples, sampleRate } = runBench('tone', [], { frequency: 1000 });
    const periods = (tones[0].hz * windowSamples) / sampleRate;
    expect(periods % 2).toBe(1);
    expect(Math.abs(tones[0].hz - 1000)).toBeLessThan(1.5);
  });

  it.each([8000, 44_100, 48_000, 96_000, 192_000])('agrees with tanh(A sin θ) at %i Hz', (sampleRate) => {
    const b = tanhSeries(1);
    const result = runBench('tone', [drivenTo('soft-clip', {}, 1)], {}, { sampleRate });
    for (const { n, dbc } of result.harmonics) {
      const hz = n * result.tones[0].hz;
      if (hz >= sampleRate / 2) expect(dbc, `H${n}`).toBeNull();
      // The over-sampler passes to 20/48 of the rate.
      if (n % 2 === 0 || hz > (20 / 48) * sampleRate || n > 9) continue;
      expect(dbc, `H${n}`).toBeCloseTo(20 * Math.log10(b[n - 1] / b[0]), 2);
    }
  });

  it('harmonics from half the sample rate on are null, with null phase', () => {
    const { harmonics } = runBench('tone', [stage('soft-clip')], { frequency: 5000 });
    for (const { n, dbc, phaseDeg } of harmonics) {
      if (n >= 5) expect([dbc, phaseDeg]).toEqual([null, null]);
    }
    expect(harmonics[1].dbc).not.toBeNull();
  });

  it('an asymmetric, AC-coupled rack is settled below −140 dBc, whatever its DC was', () => {
    const stages = [asymmetric(), { ...asymmetric(), key: 'b' }, { ...asymmetric(), key: 'c' }];
    for (const test of ['tone', 'smpte'] as const) {
      const result = runBench(test, stages);
      expect(result.settledDbc ?? -Infinity).toBeLessThan(-140);
      expect(result.notes).toEqual([]);
      expect(result.dcDbfs ?? -Infinity).toBeLessThan(-150);
    }
    // The same with DC coupling has a DC to be settled.
    const dc = runBench('tone', [stage('soft-clip', { bias: 60, drive: 6, coupling: 'dc' })]);
    expect(dc.dcDbfs ?? -Infinity).toBeGreaterThan(-50);
  });

  it('one window and the next are the same: nothing depends on where the capture starts', () => {
    const a = runBench('tone', [asymmetric()]);
    const b = runBench('tone', [asymmetric()], { frequency: 997.4 });
    expect(b.tones[0].hz).toBe(a.tones[0].hz);
    expect(b.harmonics).toEqual(a.harmonics);
  });

  it('gain, small-signal gain and the match gain', () => {
    const result = runBench('tone', [stage('soft-clip', { trimIn: 6, trimOut: -2.5 })], {}, { match: 10 ** (-1 / 20) });
    expect(result.smallSignalGainDb).toBeCloseTo(6 - 2.5 - 1, 3);
    expect(result.gainDb ?? 0).toBeLessThan(2.4);
    expect(result.matchDb).toBeCloseTo(-1, 9);
    expect(result.fundamentalDbfs).toBeCloseTo(-18 + (result.gainDb ?? 0), 9);
  });

  it('two tones at once know nothing of each other, also through a stage that works the middle and the side', () => {
    const apart = runBench('tone', [stage('soft-clip', { bias: 30 })]);
    for (const stereo of ['middle-side', 'middle']) {
      const result = runBench('tone', [stage('soft-clip', { bias: 30, stereo })]);
      expect(result.thdFPercent, stereo).toBeCloseTo(apart.thdFPercent ?? 0, 5);
      expect(result.smallSignalGainDb, stereo).toBeCloseTo(0, 3);
    }
  });

  it('an empty rack is a straight wire: no harmonic above the rounding of the signal itself', () => {
    const result = runBench('tone', []);
    expect(result.gainDb).toBeCloseTo(0, 6);
    expect(result.thdFPercent ?? 1).toBeLessThan(1e-5);
    expect(result.aliasDbc ?? 0).toBeLessThan(-140);
    expect(result.settledDbc).toBeNull();
  });
});

describe('level sweep', () => {
  const amplitudeAt = (dbfs: number) => {
    const kind = findStageKind('soft-clip');
    if (!kind) throw new Error('no soft clip');
    return alignmentAmplitude(kind, Float64Array.from(stage('soft-clip').values)) * 10 ** ((dbfs + 18) / 20);
  };

  it('from −80 to +6 dBFS: every point by the closed form of tanh', () => {
    const { points, harmonics, products, fundamentalDbfs } = runBench(
      'level-sweep',
      [stage('soft-clip', { coupling: 'dc' })],
      {
        from: -80,
        to: 6,
        step: 8,
      },
    );
    expect(points.map(({ levelDbfs }) => levelDbfs)).toEqual([-80, -72, -64, -56, -48, -40, -32, -24, -16, -8, 0, 6]);
    expect([harmonics, products, fundamentalDbfs]).toEqual([[], [], null]);
    for (const { levelDbfs, harmonics: at, gainDb } of points) {
      const b = tanhSeries(amplitudeAt(levelDbfs));
      // DC coupled: at +6 dBFS the AC coupling's phase alone would move the fundamental by 0.0013 dB.
      expect(gainDb, `${levelDbfs}`).toBeCloseTo(20 * Math.log10(b[0] / amplitudeAt(levelDbfs)), 4);
      const expected = 20 * Math.log10(b[2] / b[0]);
      if (expected > -100) expect(Math.abs((at[1].dbc ?? 0) - expected), `${levelDbfs}`).toBeLessThan(0.01);
    }
  });

  it('a cubic’s H3 rises 2 dB per dB, a quadratic’s H2 1 dB (section 3, input trim)', () => {
    const cubic = runBench('level-sweep', [stage('soft-clip')], { from: -50, to: -40, step: 10 }).points;
    expect((cubic[1].harmonics[1].dbc ?? 0) - (cubic[0].harmonics[1].dbc ?? 0)).toBeCloseTo(20, 1);
    const even = runBench('level-sweep', [stage('soft-clip', { bias: 40 })], { from: -50, to: -40, step: 10 }).points;
    expect((even[1].harmonics[0].dbc ?? 0) - (even[0].harmonics[0].dbc ?? 0)).toBeCloseTo(10, 1);
  });

  it('ends at the highest level even where the step does not', () => {
    const { points } = runBench('level-sweep', [], { from: -10, to: -5, step: 2 });
    expect(points.map(({ levelDbfs }) => levelDbfs)).toEqual([-10, -8, -6, -5]);
  });
});

describe('frequency sweep', () => {
  it('a memoryless curve is the same at all frequencies that have harmonics in the band', () => {
    const { points } = runBench('frequency-sweep', [stage('soft-clip', { drive: 6 })], { points: 1 });
    expect(points).toHaveLength(11);
    expect(points[0].hz).toBeCloseTo(20, -0.5);
    const reference = points[5].harmonics[1].dbc ?? 0;
    for (const { hz, harmonics } of points) {
      if (3 * hz < 20_000) expect(Math.abs((harmonics[1].dbc ?? 0) - reference), `${hz}`).toBeLessThan(0.05);
      else if (3 * hz > 24_000) expect(harmonics[1].dbc, `${hz}`).toBeNull();
    }
  });

  it('emphasis works the highs harder', () => {
    const { points } = runBench('frequency-sweep', [stage('soft-clip', { tilt: 12 })], {
      lowest: 100,
      highest: 6000,
      points: 1,
    });
    const h3 = points.map(({ harmonics }) => harmonics[1].dbc ?? Number.NaN);
    expect(h3[h3.length - 1] - h3[0]).toBeGreaterThan(10);
  });
});

describe('floor', () => {
  it('silence stays silence, and a weak tone has next to no distortion', () => {
    const { floor, gainDb, aliasDbc, smallSignalGainDb } = runBench('floor', [asymmetric(), stage('diode-pair')]);
    expect(floor?.silenceDcDbfs ?? -Infinity).toBeLessThan(-140);
    expect(floor?.silenceNoiseDbfs ?? -Infinity).toBeLessThan(-140);
    expect(gainDb).toBeCloseTo(0, 2);
    expect(smallSignalGainDb).toBeCloseTo(0, 2);
    expect(floor?.noiseDbfs ?? 0).toBeLessThan(-120);
    expect(floor?.aliases.map(({ hz }) => Math.round(hz / 100))).toEqual([10, 25, 50, 70, 100]);
    const worst = Math.max(...(floor?.aliases ?? []).map(({ dbc }) => dbc ?? -Infinity));
    expect(aliasDbc).toBe(worst);
    expect(worst).toBeLessThan(-100);
  });
});

describe('no NaN, no infinity', () => {
  const racks = {
    empty: [],
    off: [stage('soft-clip', {}, false)],
    driven: [stage('soft-clip', { curve: 'algebraic', knee: 100, drive: 24, trimIn: 24 }), stage('diode-pair')],
  };
  it.each(Object.keys(racks) as (keyof typeof racks)[])('in any test of a rack that is %s', (name) => {
    const results: BenchResult[] = [
      runBench('tone', racks[name], { level: -100 }),
      runBench('tone', racks[name], { level: 12, frequency: 23_000 }),
      runBench('smpte', racks[name], { level: 12 }),
      runBench('difference', racks[name], { level: -80 }),
      runBench('floor', racks[name]),
      runBench('level-sweep', racks[name], { from: -100, to: 12, step: 24 }),
      runBench('frequency-sweep', racks[name], { points: 1, highest: 23_000 }),
    ];
    for (const result of results) {
      expect(numbersIn(result).every(Number.isFinite), result.test).toBe(true);
      expect(JSON.parse(JSON.stringify(result))).toEqual(result);
    }
  });
});
