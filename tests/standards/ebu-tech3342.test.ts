/** EBU Tech 3342 (2023), loudness range: cases 1 to 4 (5 and 6 are programme files of the EBU). */
import { describe, it } from 'vitest';
import { measureLoudness } from '../../src/dsp/loudness.ts';
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
