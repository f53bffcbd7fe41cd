import { describe, expect, it } from 'vitest';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import {
  THIRD_OCTAVE_CENTRES,
  THIRD_OCTAVE_NAMES,
  thirdOctaveDifference,
  thirdOctavePowers,
} from '../../src/dsp/third-octaves.ts';
import { near } from './near.ts';

const RATE = 48_000;
const dB = (power: number) => 10 * Math.log10(power);
const sum = (values: Float64Array) => values.reduce((total, value) => total + value, 0);

const tone = (frequency: number, amplitude = 1, seconds = 4) =>
  Float32Array.from({ length: seconds * RATE }, (_, i) => amplitude * Math.sin((2 * Math.PI * frequency * i) / RATE));

function noise(seconds: number, seed: number): Float32Array {
  const random = seededRandom(seed);
  return Float32Array.from({ length: seconds * RATE }, () => 0.1 * gaussian(random));
}

describe('bands', () => {
  it('are the exact base-10 frequencies behind the familiar names', () => {
    expect(THIRD_OCTAVE_CENTRES).toHaveLength(29);
    near(THIRD_OCTAVE_CENTRES[16], 1000, 1e-9);
    near(THIRD_OCTAVE_CENTRES[0], 25.1189, 1e-4);
    near(THIRD_OCTAVE_CENTRES[28], 15848.93, 0.01);
    THIRD_OCTAVE_CENTRES.forEach((centre, band) => {
      near(THIRD_OCTAVE_NAMES[band] / centre, 1, 0.02);
    });
  });
});

describe('thirdOctavePowers', () => {
  it('puts a tone’s whole power into its band', () => {
    THIRD_OCTAVE_CENTRES.forEach((centre, band) => {
      const powers = thirdOctavePowers([tone(centre)], RATE);
      // A full-scale sine has a mean square of ½; the 25 Hz band is four bins wide and loses some of the Hann skirt.
      near(dB(powers[band]), dB(0.5), band < 3 ? 0.25 : 0.02, `${centre}`);
    });
  });

  it('adds channels, and two go as one complex transform without mixing', () => {
    const [left, right] = [noise(2, 1), noise(2, 2).map((x) => 3 * x)];
    const apart = [left, right].map((data) => thirdOctavePowers([data], RATE));
    const together = thirdOctavePowers([left, right], RATE);
    together.forEach((power, band) => {
      near(power / (apart[0][band] + apart[1][band]), 1, 1e-9);
    });
    const three = thirdOctavePowers([left, right, left], RATE);
    near(three[10] / (together[10] + apart[0][10]), 1, 1e-9);
  });

  it('weighs the start and the end like the middle', () => {
    const burst = (at: number) => {
      const data = new Float32Array(6 * RATE);
      data.set(noise(0.1, 3), Math.round(at * RATE));
      return sum(thirdOctavePowers([data], RATE));
    };
    for (const at of [0, 0.7, 5.9]) near(burst(at) / burst(3), 1, 1e-3);
  });

  it('gives white noise its power by bandwidth, also over a tenth of a second', () => {
    for (const seconds of [10, 0.1]) {
      const powers = thirdOctavePowers([noise(seconds, 4)], RATE);
      const bandwidth = THIRD_OCTAVE_CENTRES[28] * (10 ** 0.05 - 10 ** -0.05);
      near(dB(powers[28]), dB((0.01 * bandwidth) / (RATE / 2)), seconds > 1 ? 0.1 : 0.5);
    }
  });

  it('leaves bands beyond half the rate and empty recordings at 0', () => {
    expect(thirdOctavePowers([noise(1, 5)], 32_000)[28]).toBe(0);
    expect(thirdOctavePowers([noise(1, 5)], 32_000)[27]).toBeGreaterThan(0);
    expect(sum(thirdOctavePowers([], RATE))).toBe(0);
    expect(sum(thirdOctavePowers([new Float32Array(0)], RATE))).toBe(0);
    const broken = noise(1, 6);
    broken[5] = Number.NaN;
    expect(sum(thirdOctavePowers([broken], RATE))).toBeGreaterThan(0);
  });
});

describe('thirdOctaveDifference', () => {
  it('finds a gain in every band', () => {
    const before = noise(2, 7);
    const after = before.map((x) => 0.5 * x);
    const [a, b] = [before, after].map((data) => thirdOctavePowers([data], RATE));
    for (const difference of thirdOctaveDifference(a, b)) near(difference, -6.0206, 1e-6);
  });

  it('is null where a band has no energy', () => {
    // Fades: a tone cut off at once has energy in every band.
    const faded = (data: Float32Array) => data.map((x, i) => x * Math.sin((Math.PI * i) / data.length) ** 4);
    const third = tone(3162.28, 0.1);
    const before = thirdOctavePowers([faded(tone(1000))], RATE);
    const after = thirdOctavePowers([faded(tone(1000).map((x, i) => x + third[i]))], RATE);
    const difference = thirdOctaveDifference(before, after);
    near(difference[16], 0, 0.01);
    expect([difference[0], difference[21], difference[28]]).toEqual([null, null, null]);
    expect(thirdOctaveDifference(new Float64Array(29), new Float64Array(29))).toEqual(new Array(29).fill(null));
  });
});
