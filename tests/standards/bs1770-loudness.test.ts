/** ITU-R BS.1770-5 (11/2023), Annex 1: the K-weighting, the weights and the gates. */
import { describe, expect, it } from 'vitest';
import { kWeighting, kWeightingGainDb } from '../../src/dsp/k-weighting.ts';
import { measureLevels, rmsDbfs } from '../../src/dsp/levels.ts';
import { blockEnergies, gatedLoudness, gateMask, lufsToEnergy, measureLoudness } from '../../src/dsp/loudness.ts';
import { near, note } from './report.ts';
import { programme } from './tone-programmes.ts';

const SILENCE = new Float32Array(5 * 48_000);
const TONE = programme([[5, 0]], 48_000, 997);

const integrated = (channels: readonly Float32Array[], rate = 48_000) =>
  measureLoudness(channels, rate).integratedLufs as number;

describe('Tables 1 and 2: coefficients', () => {
  it('48 kHz, as printed', () => {
    const { shelf, highPass } = kWeighting(48_000);
    const printed = [
      [shelf.b0, 1.53512485958697],
      [shelf.b1, -2.69169618940638],
      [shelf.b2, 1.19839281085285],
      [shelf.a1, -1.69065929318241],
      [shelf.a2, 0.73248077421585],
      [highPass.b0, 1],
      [highPass.b1, -2],
      [highPass.b2, 1],
      [highPass.a1, -1.99004745483398],
      [highPass.a2, 0.99007225036621],
    ];
    for (const [ours, theirs] of printed) near(ours, theirs, 1e-13);
  });

  // Other rates: the same analogue sections through the bilinear transform, computed outside this project.
  for (const { rate, b, a, high } of [
    {
      rate: 44_100,
      b: [1.53084123005035, -2.65097999515473, 1.16907907992159],
      a: [-1.66365511325602, 0.71259542807323],
      high: [-1.9891696736298, 0.98919903578704],
    },
    {
      rate: 96_000,
      b: [1.5597142289758, -2.92674157825108, 1.37826120231582],
      a: [-1.84460946989011, 0.85584332293064],
      high: [-1.99501754472472, 0.9950237590409],
    },
  ]) {
    it(`${rate} Hz`, () => {
      const { shelf, highPass } = kWeighting(rate);
      const ours = [shelf.b0, shelf.b1, shelf.b2, shelf.a1, shelf.a2, highPass.a1, highPass.a2];
      [...b, ...a, ...high].forEach((value, i) => {
        near(ours[i], value, 1e-13);
      });
    });
  }
});

describe('gain of the K-weighting at 48 kHz', () => {
  for (const [frequency, gain] of [
    [20, -13.275],
    [50, -3.934],
    [100, -1.133],
    [500, 0.042],
    [997, 0.691],
    [2000, 3.071],
    [4000, 3.968],
    [10_000, 4.042],
  ]) {
    it(`${frequency} Hz: ${gain} dB`, () => near(kWeightingGainDb(frequency, 48_000), gain, 0.002));
  }

  it('is what the running filter does', () => {
    for (const frequency of [50, 100, 4000, 10_000]) {
      const expected = -3.0103 - 0.691 + kWeightingGainDb(frequency, 48_000);
      near(integrated([programme([[5, 0]], 48_000, frequency), SILENCE]), expected, 0.002);
    }
  });

  it('is nearly the same at other rates', () => {
    for (const rate of [44_100, 88_200, 96_000, 192_000]) {
      for (const frequency of [50, 100, 500, 997, 2000, 4000, 10_000]) {
        near(
          kWeightingGainDb(frequency, rate),
          kWeightingGainDb(frequency, 48_000),
          0.05,
          `${frequency} Hz at ${rate}`,
        );
      }
    }
  });
});

describe('equation 2: 997 Hz at full scale', () => {
  it('reads −3.01 in L, C or R alone', () => {
    near(integrated([TONE, SILENCE]), -3.0103, 0.01);
    near(integrated([SILENCE, TONE]), -3.0103, 0.01);
    near(integrated([SILENCE, SILENCE, TONE, SILENCE, SILENCE, SILENCE]), -3.0103, 0.01);
  });

  it('reads 0.00 in both channels, and falls 1 LU a dB', () => {
    near(integrated([TONE, TONE]), 0, 0.01);
    const lower = programme([[5, -1]], 48_000, 997);
    near(integrated([lower, lower]) - integrated([TONE, TONE]), -1, 1e-4);
  });

  it('weighs the surrounds 1.41 and leaves the LFE out', () => {
    const at = (channel: number) => Array.from({ length: 6 }, (_, c) => (c === channel ? TONE : SILENCE));
    near(integrated(at(4)) - integrated(at(0)), 10 * Math.log10(1.41), 1e-6);
    near(integrated(at(5)) - integrated(at(0)), 10 * Math.log10(1.41), 1e-6);
    expect(measureLoudness(at(3), 48_000).integratedLufs).toBeNull();
  });

  it('counts mono as heard on both channels, or once if asked', () => {
    expect(integrated([TONE])).toBe(integrated([TONE, TONE]));
    const once = measureLoudness([TONE], 48_000, { dualMono: false }).integratedLufs as number;
    expect(once).toBe(integrated([TONE, SILENCE]));
  });

  // Values of the same derivation in the reference C library.
  for (const [rate, reading] of [
    [44_100, -3.0075],
    [96_000, -3.0276],
    [192_000, -3.0374],
  ]) {
    it(`reads ${reading} at ${rate} Hz`, () => {
      const tone = programme([[5, 0]], rate, 997);
      near(integrated([tone, new Float32Array(tone.length)], rate), reading, 0.001);
    });
  }
});

describe('equations 3 to 7: blocks and gates', () => {
  it('drops an incomplete last block', () => {
    expect(blockEnergies([TONE.subarray(0, 19_199)], 48_000)).toHaveLength(0);
    expect(blockEnergies([TONE.subarray(0, 19_200)], 48_000)).toHaveLength(1);
    expect(blockEnergies([TONE.subarray(0, 23_999)], 48_000)).toHaveLength(1);
    expect(blockEnergies([TONE.subarray(0, 24_000)], 48_000)).toHaveLength(2);
  });

  it('compares strictly at both gates', () => {
    const absolute = lufsToEnergy(-70);
    expect([...gateMask([absolute, absolute * 1.000001])]).toEqual([0, 1]);
    // Eleven blocks of 1 and one of g: the relative gate lies at (11 + g)/120, so g = 11/119 stands right on it.
    const onGate = 11 / 119;
    const loud = new Array<number>(11).fill(1);
    expect(gateMask([...loud, onGate - 1e-9])[11]).toBe(0);
    expect(gateMask([...loud, onGate + 1e-9])[11]).toBe(1);
  });

  it('reads nothing where all blocks lie at or under −70', () => {
    expect(gatedLoudness([lufsToEnergy(-70), lufsToEnergy(-80)])).toBe(-Infinity);
    expect(measureLoudness([SILENCE, SILENCE], 48_000).integratedLufs).toBeNull();
  });
});

describe('equal RMS is not equal loudness', () => {
  it('T₂ turns a full-scale 997 Hz cosine into 1994 Hz: same RMS, 2.37 LU louder', () => {
    const cosine = Float32Array.from(TONE, (_, i) => Math.cos((2 * Math.PI * ((997 * i) % 48_000)) / 48_000));
    const doubled = cosine.map((x) => 2 * x * x - 1);
    const rms = (data: Float32Array) => rmsDbfs(measureLevels([data]).meanSquare);
    near(rms(doubled), rms(cosine), 1e-5, 'RMS');
    near(integrated([cosine, SILENCE]), -3.0103, 0.001, 'before');
    near(integrated([doubled, SILENCE]), -0.639, 0.001, 'after');
    note(
      `T₂ on 997 Hz: RMS ${rms(cosine).toFixed(3)} → ${rms(doubled).toFixed(3)} dBFS, loudness −3.010 → −0.639 LUFS`,
    );
  });
});
