/** EBU Tech 3342 (2023), loudness range: cases 1 to 4 (5 and 6 are programme files of the EBU). */
import { describe, expect, it } from 'vitest';
import { lufsToEnergy } from '../../src/dsp/gating.ts';
import { measureLoudness } from '../../src/dsp/loudness.ts';
import { loudnessRange } from '../../src/dsp/loudness-range.ts';
import { check, near } from './report.ts';
import { programme, stereo } from './tone-programmes.ts';

const CASES = [
  { number: 1, levels: [-20, -30], range: 10 },
  { number: 2, levels: [-20, -15], range: 5 },
  { number: 3, levels: [-40, -20], range: 20 },
  { number: 4, levels: [-50, -35, -20, -35, -50], range: 15 },
];

describe('loudness range of 20 s tones', () => {
  for (const { number, levels, range } of CASES) {
    it(`case ${number}: ${levels.join(', ')} dBFS gives ${range} LU`, () => {
      const signal = programme(levels.map((level) => [20, level]));
      const measured = measureLoudness(stereo(signal), 48_000).loudnessRangeLu as number;
      check(`3342-${number} LRA`, measured, range, 'LU', { standard: 1, goal: 0.02 });
    });
  }

  it('does not change when the programme is repeated', () => {
    const levels = [-20, -30, -20, -30];
    const once = measureLoudness(
      stereo(
        programme([
          [20, -20],
          [20, -30],
        ]),
      ),
      48_000,
    ).loudnessRangeLu;
    const twice = measureLoudness(stereo(programme(levels.map((level) => [20, level]))), 48_000).loudnessRangeLu;
    near(twice, once as number, 0.1);
  });
});

// The element round((n − 1)·p/100 + 1) of the sorted values, counted from 1 (docs/reference-values.md, section 2). Long
// tones hold so many equal values that a neighbour reads the same; here each is another.
describe('the percentiles', () => {
  const windows = (count: number, step: number) =>
    Array.from({ length: count }, (_, i) => lufsToEnergy(-20 - step * ((7 * i) % count)));

  it.each([
    // Of 11: the 2nd and round(10.5) = 11th. Of 29: round(3.8) and round(27.6). Of 101: the 11th and 96th.
    [11, 1, 11 - 2],
    [29, 0.5, 0.5 * (28 - 4)],
    [101, 0.1, 0.1 * (96 - 11)],
  ])('of %i values %f LU apart', (count, step, range) => {
    expect(loudnessRange(windows(count, step))).toBeCloseTo(range, 9);
  });

  it('leave out what lies 20 LU under the mean', () => {
    const quiet = Array.from({ length: 50 }, () => lufsToEnergy(-52));
    expect(loudnessRange([...windows(101, 0.1), ...quiet])).toBeCloseTo(0.1 * (96 - 11), 9);
  });
});
