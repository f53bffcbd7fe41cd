/** EBU Tech 3341 v4 (2023), Table 1: all cases that can be synthesised (7 and 8 are programme files of the EBU). */
import { describe, expect, it } from 'vitest';
import { LoudnessMeter, measureLoudness } from '../../src/dsp/loudness.ts';
import { truePeak } from '../../src/dsp/true-peak.ts';
import { check, near } from './report.ts';
import { expectedIntegrated, expectedMaximum, programme, type Stretch, stereo } from './tone-programmes.ts';

const RATE = 48_000;
const LU = { standard: 0.1, goal: 0.02 };
/** Tolerance of Table 1 for true peak. */
const TP = { standard: [0.4, 0.2] as const, goal: 0.1 };

function checkIntegrated(what: string, stretches: readonly Stretch[], nominal: number): void {
  const measured = measureLoudness(stereo(programme(stretches)), RATE).integratedLufs as number;
  check(what, measured, nominal, 'LUFS', { ...LU, exact: expectedIntegrated(stretches) });
}

describe('integrated, short-term and momentary loudness', () => {
  for (const [number, level] of [
    [1, -23],
    [2, -33],
  ]) {
    it(`case ${number}: 20 s at ${level} dBFS reads ${level} on M, S and I`, () => {
      const signal = stereo(programme([[20, level]]));
      const figures = measureLoudness(signal, RATE);
      check(`3341-${number} I`, figures.integratedLufs as number, level, 'LUFS', LU);
      check(`3341-${number} S`, figures.maxShortTermLufs as number, level, 'LUFS', LU);
      check(`3341-${number} M`, figures.maxMomentaryLufs as number, level, 'LUFS', LU);
      const meter = new LoudnessMeter(RATE, 2);
      meter.process(signal);
      near(meter.momentary, level, 0.02, 'M at the end');
      near(meter.shortTerm, level, 0.02, 'S at the end');
    });
  }

  it('case 3: the relative gate leaves −36 dBFS out', () => {
    checkIntegrated(
      '3341-3 I',
      [
        [10, -36],
        [60, -23],
        [10, -36],
      ],
      -23,
    );
  });

  it('case 4: both gates', () => {
    checkIntegrated(
      '3341-4 I',
      [
        [10, -72],
        [10, -36],
        [60, -23],
        [10, -36],
        [10, -72],
      ],
      -23,
    );
  });

  it('case 5: three levels that all count', () => {
    checkIntegrated(
      '3341-5 I',
      [
        [20, -26],
        [20.1, -20],
        [20, -26],
      ],
      -23,
    );
  });

  it('case 6: five channels with their weights', () => {
    const channels = [-28, -28, -24, -30, -30].map((level) => programme([[20, level]]));
    const gain = 10 * Math.log10(2 * 10 ** -2.8 + 10 ** -2.4 + 1.41 * 2 * 10 ** -3.0);
    const measured = measureLoudness(channels, RATE).integratedLufs as number;
    // One channel at 0 dBFS reads −3.01 at 997 Hz; 1 kHz reads 0.007 higher.
    check('3341-6 I', measured, -23, 'LUFS', { ...LU, exact: gain - 3.01 + 0.007 });
    const withLfe = [...channels.slice(0, 3), programme([[20, -6]]), ...channels.slice(3)];
    expect(measureLoudness(withLfe, RATE).integratedLufs, '5.1 ignores the LFE').toBe(measured);
  });

  it('case 9: short-term loudness stays at −23 after 3 s', () => {
    const stretches = Array.from(
      { length: 5 },
      () =>
        [
          [1.34, -20],
          [1.66, -30],
        ] as Stretch[],
    ).flat();
    const readings = pollAfter(stretches, 3, (meter) => meter.shortTerm);
    const exact = expectedMaximum(stretches, 3);
    check('3341-9 lowest S', Math.min(...readings), -23, 'LUFS', { ...LU, exact });
    check('3341-9 highest S', Math.max(...readings), -23, 'LUFS', { ...LU, exact });
  });

  it('case 10: 3 s anywhere in a file give a maximum S of −23', () => {
    const maxima = Array.from({ length: 20 }, (_, i) => {
      const signal = stereo(
        programme([
          [i * 0.15, null],
          [3, -23],
          [1, null],
        ]),
      );
      return measureLoudness(signal, RATE).maxShortTermLufs as number;
    });
    check('3341-10 lowest of 20', Math.min(...maxima), -23, 'LUFS', LU);
    check('3341-10 highest of 20', Math.max(...maxima), -23, 'LUFS', LU);
  });

  it('case 11: the maximum S of a running meter follows 20 rising bursts', () => {
    const meter = new LoudnessMeter(RATE, 2);
    const errors = Array.from({ length: 20 }, (_, i) => {
      meter.process(
        stereo(
          programme([
            [i * 0.15, null],
            [3, -38 + i],
            [3 - i * 0.15, null],
          ]),
        ),
      );
      return meter.maxShortTerm - (-38 + i);
    });
    check('3341-11 lowest error of 20', Math.min(...errors), 0, 'LU', LU);
    check('3341-11 highest error of 20', Math.max(...errors), 0, 'LU', LU);
  });

  it('case 12: momentary loudness stays at −23 after 1 s', () => {
    const stretches = Array.from(
      { length: 25 },
      () =>
        [
          [0.18, -20],
          [0.22, -30],
        ] as Stretch[],
    ).flat();
    const readings = pollAfter(stretches, 1, (meter) => meter.momentary);
    const exact = expectedMaximum(stretches, 0.4);
    check('3341-12 lowest M', Math.min(...readings), -23, 'LUFS', { ...LU, exact });
    check('3341-12 highest M', Math.max(...readings), -23, 'LUFS', { ...LU, exact });
  });

  it('case 13: 400 ms anywhere in a file give a maximum M of −23', () => {
    const maxima = Array.from({ length: 20 }, (_, i) => {
      const signal = stereo(
        programme([
          [i * 0.02, null],
          [0.4, -23],
          [1, null],
        ]),
      );
      return measureLoudness(signal, RATE).maxMomentaryLufs as number;
    });
    check('3341-13 lowest of 20', Math.min(...maxima), -23, 'LUFS', LU);
    check('3341-13 highest of 20', Math.max(...maxima), -23, 'LUFS', LU);
  });

  it('case 14: the maximum M of a running meter follows 20 rising bursts', () => {
    const meter = new LoudnessMeter(RATE, 2);
    const errors = Array.from({ length: 20 }, (_, i) => {
      meter.process(
        stereo(
          programme([
            [i * 0.02, null],
            [0.4, -38 + i],
            [0.4 - i * 0.02, null],
          ]),
        ),
      );
      return meter.maxMomentary - (-38 + i);
    });
    check('3341-14 lowest error of 20', Math.min(...errors), 0, 'LU', LU);
    check('3341-14 highest error of 20', Math.max(...errors), 0, 'LU', LU);
  });

  it('§2.9: 1 kHz in stereo at −18 dBFS reads −18 LUFS', () => {
    checkIntegrated('3341 §2.9 I', [[20, -18]], -18);
  });

  for (const rate of [44_100, 88_200, 96_000, 192_000]) {
    it(`cases 1 and 3 hold at ${rate} Hz`, () => {
      // The usual derivation moves 997 Hz by up to 0.027 dB away from 48 kHz, so the goal widens by that.
      const goal = { standard: 0.1, goal: 0.04 };
      const steady = measureLoudness(stereo(programme([[20, -23]], rate)), rate);
      check(`3341-1 at ${rate} Hz`, steady.integratedLufs as number, -23, 'LUFS', goal);
      if (rate > 100_000) return;
      const gated = measureLoudness(
        stereo(
          programme(
            [
              [10, -36],
              [60, -23],
              [10, -36],
            ],
            rate,
          ),
        ),
        rate,
      );
      check(`3341-3 at ${rate} Hz`, gated.integratedLufs as number, -23, 'LUFS', { ...goal, exact: -23.014 });
    });
  }
});

/** Readings of a running meter every 10 ms from `seconds` on. */
function pollAfter(stretches: readonly Stretch[], seconds: number, read: (meter: LoudnessMeter) => number): number[] {
  const signal = stereo(programme(stretches));
  const meter = new LoudnessMeter(RATE, 2);
  const readings: number[] = [];
  for (let at = 0; at + 480 <= signal[0].length; at += 480) {
    meter.process(signal, at, at + 480);
    if (at + 480 >= seconds * RATE) readings.push(read(meter));
  }
  return readings;
}

describe('true peak', () => {
  for (const { number, divisor, phase, amplitude, nominal } of [
    { number: 15, divisor: 4, phase: 0, amplitude: 0.5, nominal: -6 },
    { number: 16, divisor: 4, phase: 45, amplitude: 0.5, nominal: -6 },
    { number: 17, divisor: 6, phase: 60, amplitude: 0.5, nominal: -6 },
    { number: 18, divisor: 8, phase: 67.5, amplitude: 0.5, nominal: -6 },
    { number: 19, divisor: 4, phase: 45, amplitude: 1.41, nominal: 3 },
  ]) {
    it(`case ${number}: fs/${divisor} at ${phase}°`, () => {
      const signal = faded(
        RATE,
        480,
        (i) => amplitude * Math.sin((2 * Math.PI * i) / divisor + (phase * Math.PI) / 180),
      );
      check(`3341-${number} TP`, truePeak(stereo(signal), RATE).dbtp, nominal, 'dBTP', TP);
    });
  }

  for (const offset of [0, 1, 2, 3]) {
    it(`case ${20 + offset}: one louder period between the samples, offset ${offset}`, () => {
      const fine = oneLoudPeriod();
      const signal = faded(Math.floor(fine.length / 4), 480, (i) => fine[4 * i + offset]);
      // The low-pass takes a little off the single period; what it leaves is the peak to be found.
      const exact = 20 * Math.log10(fine.reduce((most, x) => Math.max(most, Math.abs(x)), 0));
      check(`3341-${20 + offset} TP`, truePeak(stereo(signal), RATE).dbtp, 0, 'dBTP', { ...TP, exact });
    });
  }
});

/** A signal with linear fades of `fade` samples at both ends. */
function faded(length: number, fade: number, value: (i: number) => number): Float32Array {
  return Float32Array.from({ length }, (_, i) => value(i) * Math.min(1, i / fade, (length - 1 - i) / fade));
}

/** At four times the rate: fs/6 at 0.50 with one period of fs/4 at 1.00 set in at a zero crossing, low-passed. */
function oneLoudPeriod(): Float64Array {
  const before = 24 * 400;
  const raw = Float64Array.from({ length: 2 * before + 16 }, (_, i) => {
    if (i < before) return 0.5 * Math.sin((2 * Math.PI * i) / 24);
    if (i < before + 16) return Math.sin((2 * Math.PI * (i - before)) / 16);
    return 0.5 * Math.sin((2 * Math.PI * (i - before - 16)) / 24);
  });
  // Low-pass at half the base rate: sinc over ±32 base samples with a Hann² taper.
  const reach = 128;
  const taps = Array.from({ length: 2 * reach + 1 }, (_, k) => {
    const t = (k - reach) / 4;
    const sinc = t === 0 ? 1 : Math.sin(Math.PI * t) / (Math.PI * t);
    return (sinc / 4) * Math.cos((Math.PI * (k - reach)) / (2 * reach + 2)) ** 4;
  });
  return raw.map((_, i) => taps.reduce((sum, tap, k) => sum + tap * (raw[i + reach - k] ?? 0), 0));
}
