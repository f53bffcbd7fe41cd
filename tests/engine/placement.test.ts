/** Where a stage colours: a band, and a part of the stereo field. Source: design notes, "Circuits with memory". */
import { describe, expect, it } from 'vitest';
import { biquadGainDb } from '../../src/dsp/biquad.ts';
import { butterworth, filtered } from '../../src/dsp/butterworth.ts';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { snapFrequency } from '../../src/dsp/tones.ts';
import { dbToGain, gainToDb } from '../../src/dsp/units.ts';
import type { StageConfig } from '../../src/engine/config.ts';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import { driveFor } from '../support/curve-drive.ts';
import { realRecordingAt, recordingNames } from '../support/real-recordings.ts';
import { rack, runRack, stage } from '../support/rig.ts';
import { dbcOf, steadyOutput, steadyTone } from '../support/steady-tone.ts';

const RATE = 48000;
const random = seededRandom(11);
const noise = (amplitude: number) => Float32Array.from({ length: 9600 }, () => amplitude * gaussian(random));
const stereo = [noise(0.1), noise(0.1)];
const kinds = stageKinds.map(({ id }) => [id]);

function levelDb(signal: ArrayLike<number>, other?: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < signal.length; i++) sum += (signal[i] - (other?.[i] ?? 0)) ** 2;
  return 10 * Math.log10(sum / signal.length + 1e-30);
}

function sameBits(a: Float32Array, b: Float32Array): boolean {
  return a.every((value, i) => Object.is(value, b[i]));
}

describe.each(kinds)('a band of %s', (kind) => {
  const between = { band: 'between', bandFrom: 800, bandTo: 2000 };

  it.each([200, 8000])('has nothing added above -80 dBc to a sine two octaves outside it (%i Hz)', (frequency) => {
    const { samples, frequency: exact } = steadyOutput([stage(kind, between)], { frequency, size: 16384 });
    // All that isn't the tone: every product, and what the stage changes of the tone itself.
    const amplitude = dbToGain(-18);
    const added = samples.map((y, i) => y - amplitude * Math.sin((2 * Math.PI * exact * (i + 16384)) / RATE + 0.3));
    const dbc = levelDb(added) - gainToDb(amplitude / Math.SQRT2);
    console.log(`${kind}, ${frequency} Hz: all that is added ${dbc.toFixed(1)} dBc`);
    expect(dbc).toBeLessThan(-80);
  });

  it('colours as ever in the middle of it', () => {
    const wide = { band: 'between', bandFrom: 20, bandTo: 20000 };
    const whole = steadyTone([stage(kind)]);
    const banded = steadyTone([stage(kind, wide)]);
    expect(gainToDb((banded.thdF ?? 0) / (whole.thdF ?? 0))).toBeCloseTo(0, 1);
  });

  it('nulls as before far below the knee', () => {
    const quiet = stereo[0].map((value) => value * dbToGain(-40));
    const [out] = runRack(rack([stage(kind, { ...between, drive: -12 })]), [quiet]);
    expect(levelDb(out, quiet)).toBeLessThan(-60 - 80);
  });

  it('takes its edges in either order', () => {
    const [one] = runRack(rack([stage(kind, between)]), stereo);
    const [other] = runRack(rack([stage(kind, { ...between, bandFrom: 2000, bandTo: 800 })]), stereo);
    expect(sameBits(one, other)).toBe(true);
  });
});

describe('the edges of a band', () => {
  // Closed form: a cubic makes A³/12 of third harmonic, so that of a tone weakened by |B| is |B|³ times as strong; 12 dB an
  // octave and −3 dB at the edge are Butterworth's |B|² = 1/(1 + (f/f₀)^±4), with the bilinear transform's frequencies.
  it.each([
    [150, 20000, 75],
    [150, 20000, 150],
    [150, 20000, 600],
    [20, 1000, 500],
    [20, 1000, 1000],
    [20, 1000, 2000],
    [400, 800, 800],
  ])('from %i to %i Hz at %f Hz', (bandFrom, bandTo, frequency) => {
    const cubic = { curve: 'cubic', drive: driveFor('soft-clip', { curve: 'cubic' }, 0.5) };
    const exact = snapFrequency(frequency, RATE, 16384);
    const third = (params: Record<string, number | string>) => {
      const tone = steadyTone([stage('soft-clip', { ...cubic, ...params })], { frequency });
      return (tone.fundamentalDbfs ?? Number.NaN) + dbcOf(tone, 3);
    };
    const rate = 4 * RATE;
    const weakened =
      biquadGainDb(butterworth('high-pass', bandFrom, rate), exact, rate) +
      biquadGainDb(butterworth('low-pass', bandTo, rate), exact, rate);
    expect(third({ band: 'between', bandFrom, bandTo }) - third({})).toBeCloseTo(3 * weakened, 1);
  });

  it('are Butterworth filters: -3.01 dB at the corner, 12 dB an octave far from it', () => {
    for (const [kind, far, farther] of [
      ['low-pass', 2000, 4000],
      ['high-pass', 20, 10],
    ] as const) {
      const filter = butterworth(kind, 200, 4 * RATE);
      expect(biquadGainDb(filter, 200, 4 * RATE)).toBeCloseTo(-3.0103, 3);
      const octave = biquadGainDb(filter, farther, 4 * RATE) - biquadGainDb(filter, far, 4 * RATE);
      expect(octave).toBeGreaterThan(-12.2);
      expect(octave).toBeLessThan(-12.0);
    }
  });
});

describe.each(kinds)('the stereo field of %s', (kind) => {
  const stages = (place: string, more = {}): StageConfig[] => [
    stage(kind, { stereo: place, drive: 9, trimIn: 2, trimOut: -3, ...more }),
  ];

  it('keeps a mono sound mono, in any part of it', () => {
    for (const place of ['middle-side', 'middle', 'side']) {
      const [left, right] = runRack(rack(stages(place)), [stereo[0], stereo[0]]);
      expect(sameBits(left, right), place).toBe(true);
    }
  });

  it('adds nothing to a mono sound in the side, nor to a side without a middle', () => {
    const gain = dbToGain(-1);
    const [left] = runRack(rack(stages('side')), [stereo[0], stereo[0]]);
    expect(
      levelDb(
        left,
        stereo[0].map((value) => gain * value),
      ),
    ).toBeLessThan(-120);
    const turned = stereo[0].map((value) => -value);
    const [first, second] = runRack(rack(stages('middle')), [stereo[0], turned]);
    expect(
      levelDb(
        first,
        stereo[0].map((value) => gain * value),
      ),
    ).toBeLessThan(-120);
    expect(
      levelDb(
        second,
        turned.map((value) => gain * value),
      ),
    ).toBeLessThan(-120);
  });

  it('as middle and side is the same stage on (L + R)/2 and (L - R)/2, one alone leaves the other', () => {
    const [left, right] = stereo;
    const middle = left.map((value, i) => (value + right[i]) / 2);
    const side = left.map((value, i) => (value - right[i]) / 2);
    const [m, s] = runRack(rack(stages('left-right')), [middle, side]);
    const gain = dbToGain(-1);
    const straight = { m: middle.map((value) => gain * value), s: side.map((value) => gain * value) };
    for (const [place, a, b] of [
      ['middle-side', m, s],
      ['middle', m, straight.s],
      ['side', straight.m, s],
    ] as const) {
      const out = runRack(rack(stages(place)), stereo);
      expect(
        levelDb(
          out[0],
          a.map((value, i) => value + b[i]),
        ),
        place,
      ).toBeLessThan(-115);
      expect(
        levelDb(
          out[1],
          a.map((value, i) => value - b[i]),
        ),
        place,
      ).toBeLessThan(-115);
    }
  });

  it('works a sound in the middle as hard as left and right', () => {
    const thd = (params: Record<string, string>) => steadyTone([stage(kind, params)]).thdF ?? Number.NaN;
    expect(thd({ stereo: 'middle' }) / thd({})).toBeCloseTo(1, 3);
  });
});

describe.skipIf(recordingNames().length === 0)('a band on recordings', () => {
  it.each(
    recordingNames()
      .slice(-3)
      .map((name) => [name]),
  )('%s: what is added stays near the band', (name) => {
    const planes = realRecordingAt(name, RATE).map((plane) => plane.slice(0, 2 * RATE));
    const added = (params: Record<string, number | string>) => {
      const [out] = runRack(rack([stage('soft-clip', { drive: 6, ...params })]), planes);
      return out.map((value, i) => value - planes[0][i]);
    };
    const inBass = (signal: ArrayLike<number>) => levelDb(lowest(signal, 60));
    const whole = added({});
    const banded = added({ band: 'between', bandFrom: 2000, bandTo: 6000 });
    console.log(`${name}: below 60 Hz ${(inBass(banded) - inBass(whole)).toFixed(1)} dB against the whole`);
    expect(inBass(banded)).toBeLessThan(inBass(whole) - 20);
    expect(levelDb(banded)).toBeLessThan(levelDb(whole));
  });
});

/** The signal's part below `hertz`, by fourth-order filtering. */
function lowest(signal: ArrayLike<number>, hertz: number): Float32Array {
  const filter = butterworth('low-pass', hertz, RATE);
  return filtered(filter, filtered(filter, signal));
}
