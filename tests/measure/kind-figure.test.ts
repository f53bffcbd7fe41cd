/** What the guide shows of a kind, against the laws of mild curves (reference values, section 3) and the drive's definition. */
import { describe, expect, it } from 'vitest';
import { kindFigure } from '../../src/measure/kind-figure.ts';
import { ToneBench } from '../../src/measure/tone-bench/tone-bench.ts';
import { runToEnd } from '../../src/render/run-steps.ts';

const bench = new ToneBench();
const figureOf = (kind: string) => runToEnd(kindFigure(bench, kind, 48_000, -18));

describe('the figure of a kind', () => {
  it('of a soft clip: only odd, 1 % at −18 dBFS, 12 dB for 6 dB of level where it is mild, the same at every frequency', () => {
    const { levels, frequencies } = figureOf('soft-clip');
    expect(levels.map(({ at }) => at)).toEqual([-48, -42, -36, -30, -24, -18, -12, -6, 0]);
    expect(levels[5].oddDbc).toBeCloseTo(-40, 1);
    expect((levels[1].oddDbc ?? 0) - (levels[0].oddDbc ?? 0)).toBeCloseTo(12, 1);
    for (const { at, oddDbc } of frequencies.slice(0, -2)) expect(oddDbc, `${at} Hz`).toBeCloseTo(-40, 1);
    expect(frequencies[0].at).toBeGreaterThan(30);
    expect(Math.max(...levels.map(({ evenDbc }) => evenDbc ?? -200))).toBeLessThan(-110);
  });

  it('of a transformer: 1 % of 50 Hz at −18 dBFS, and about 12 dB less with each octave', () => {
    const { levels, frequencies } = figureOf('transformer');
    expect(levels[5].oddDbc).toBeCloseTo(-40, 0);
    for (let i = 1; i < 5; i++) {
      const fall = (frequencies[i - 1].oddDbc ?? 0) - (frequencies[i].oddDbc ?? 0);
      expect(fall, `${frequencies[i].at} Hz`).toBeGreaterThan(9);
      expect(fall, `${frequencies[i].at} Hz`).toBeLessThan(13);
    }
  });

  it('of a triode: even first, and 6 dB for 6 dB', () => {
    const { levels } = figureOf('triode');
    expect(levels[5].evenDbc).toBeGreaterThan((levels[5].oddDbc ?? 0) + 20);
    expect((levels[2].evenDbc ?? 0) - (levels[1].evenDbc ?? 0)).toBeCloseTo(6, 0);
  });
});
