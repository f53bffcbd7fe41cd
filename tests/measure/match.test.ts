/** The match on signals whose loudness is known in closed form. */
import { describe, expect, it } from 'vitest';
import { blockEnergies } from '../../src/dsp/loudness.ts';
import { sine } from '../../src/dsp/tones.ts';
import { dbToGain } from '../../src/dsp/units.ts';
import { exactMatch, loudestSpan, matchReference } from '../../src/measure/match.ts';
import { bursts } from './sessions.ts';

const RATE = 48000;
const tone = (seconds: number, dbfs: number, frequency = 997) =>
  Float32Array.from(sine(Math.round(seconds * RATE), RATE, frequency, dbToGain(dbfs)));
const scaledBy = (plane: Float32Array, db: number) => plane.map((x) => dbToGain(db) * x);

describe('exactMatch', () => {
  it('takes a plain gain back', () => {
    const input = bursts(8 * RATE, RATE, 1, 11);
    for (const db of [-20, -6, 0.05, 9]) {
      const match = exactMatch(matchReference([input], RATE), [scaledBy(input, db)], RATE);
      expect(match?.gainDb).toBeCloseTo(-db, 5);
      expect(Math.abs(match?.residualLu ?? 1)).toBeLessThan(1e-6);
      expect(match?.spreadLowLu).toBeCloseTo(0, 4);
      expect(match?.spreadHighLu).toBeCloseTo(0, 4);
    }
  });

  // docs/reference-values.md, section 1 [C, T]: T₂(x) = 2x² − 1 of a full-scale 997 Hz cosine is pure 1994 Hz; its RMS is the
  // same, its loudness goes from −3.010 to −0.639 LKFS.
  it('matches loudness, not RMS: doubling the frequency of a tone takes 2.371 dB', () => {
    const input = Float32Array.from(sine(5 * RATE, RATE, 997, 1, Math.PI / 2));
    const doubled = input.map((x) => 2 * x * x - 1);
    const match = exactMatch(matchReference([input], RATE), [doubled], RATE);
    expect(match?.gainDb).toBeCloseTo(-3.01 + 0.639, 2);
  });

  it('tells how far moments stray from the one gain: half a second, 3 s windows', () => {
    const input = tone(40, -20);
    const output = input.map((x, i) => x * dbToGain(i < 20 * RATE ? 1 : -1));
    const match = exactMatch(matchReference([input], RATE), [output], RATE);
    // Both halves pass the gates: the mean power is (10^0.1 + 10^−0.1)/2, +0.114 dB.
    const mean = 10 * Math.log10((10 ** 0.1 + 10 ** -0.1) / 2);
    expect(match?.gainDb).toBeCloseTo(-mean, 3);
    expect(match?.spreadLowLu).toBeCloseTo(-1 - mean, 3);
    expect(match?.spreadHighLu).toBeCloseTo(1 - mean, 3);
  });

  it('counts the blocks that a stage lifts over the gate, as a loudness meter does', () => {
    // A tone 16 dB below the loud part is gated out of the input, and counts in the output, where it is 6 dB below.
    const input = Float32Array.from([...tone(10, -20), ...tone(10, -36)]);
    const output = Float32Array.from([...tone(10, -20), ...tone(10, -26)]);
    const match = exactMatch(matchReference([input], RATE), [output], RATE);
    // Apart from the few blocks across the steps.
    const expected = -10 * Math.log10((1 + 10 ** -0.6) / 2);
    expect(Math.abs((match?.gainDb ?? 0) - expected)).toBeLessThan(0.1);
    expect(Math.abs(match?.residualLu ?? 1)).toBeLessThan(1e-6);
  });

  it('finds the gain where it moves blocks over the absolute gate', () => {
    // At −69 LUFS everything counts, at −75 nothing would: the gain has to be found where the gates let it be.
    const input = Float32Array.from([...tone(5, -60), ...tone(5, -66)]);
    const match = exactMatch(matchReference([input], RATE), [scaledBy(input, -6)], RATE);
    expect(match?.gainDb).toBeCloseTo(6, 2);
    expect(Math.abs(match?.residualLu ?? 1)).toBeLessThan(1e-4);
  });

  it('has nothing to say about silence and about less than one block', () => {
    const loud = tone(2, -20);
    const silent = new Float32Array(2 * RATE);
    const short = tone(0.3, -20);
    expect(exactMatch(matchReference([silent], RATE), [loud], RATE)).toBeNull();
    expect(exactMatch(matchReference([loud], RATE), [silent], RATE)).toBeNull();
    expect(exactMatch(matchReference([short], RATE), [short], RATE)).toBeNull();
  });
});

describe('loudestSpan', () => {
  const loudFrom = (seconds: number, length = 20) => {
    const input = tone(length, -40);
    input.set(tone(3, -10), Math.round(seconds * RATE));
    return input;
  };

  it.each([0, 4.3, 11, 17])('finds three loud seconds from %s s on', (seconds) => {
    const input = loudFrom(seconds);
    const [from, to] = loudestSpan(blockEnergies([input], RATE), RATE, input.length);
    expect(to - from).toBe(3 * RATE);
    expect(Math.abs(from / RATE - seconds)).toBeLessThanOrEqual(0.4);
  });

  it('takes all of a short sound', () => {
    const input = tone(2, -20);
    expect(loudestSpan(blockEnergies([input], RATE), RATE, input.length)).toEqual([0, input.length]);
  });
});
