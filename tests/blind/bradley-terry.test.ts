import { describe, expect, it } from 'vitest';
import { bradleyTerry } from '../../src/blind/bradley-terry.ts';
import { BlindTrialError } from '../../src/blind/trial-plan.ts';
import { SEVEN } from './seven-teams.ts';

const NAMES = ['1', '2', '3', '4', '5', '6', '7'];

describe('Bradley-Terry', () => {
  it('gives Agresti’s estimates and standard errors (Table 10.11, rerun in R)', () => {
    const { abilities, standardErrors } = bradleyTerry(SEVEN, NAMES);
    for (const [i, value] of [1.581, 1.436, 1.294, 1.248, 1.108, 0.684, 0].entries()) {
      expect(Math.abs(abilities[i] - value)).toBeLessThan(0.001);
    }
    for (const [i, value] of [0.343, 0.34, 0.337, 0.336, 0.334, 0.332, 0].entries()) {
      expect(Math.abs(standardErrors[i] - value)).toBeLessThan(0.001);
    }
  });

  it('differences and worth don’t depend on the reference', () => {
    const [last, first] = [bradleyTerry(SEVEN, NAMES), bradleyTerry(SEVEN, NAMES, 0)];
    for (const i of SEVEN.keys()) {
      expect(first.abilities[i] - first.abilities[3]).toBeCloseTo(last.abilities[i] - last.abilities[3], 9);
      expect(first.worth[i]).toBeCloseTo(last.worth[i], 9);
      expect(first.centred[i].value).toBeCloseTo(last.centred[i].value, 9);
      expect(first.centred[i].standardError).toBeCloseTo(last.centred[i].standardError, 9);
    }
    expect(last.worth.reduce((sum, value) => sum + value, 0)).toBeCloseTo(1, 12);
  });

  it('for two is the logit of the share, with its standard error √(1/a + 1/b)', () => {
    const { abilities, standardErrors } = bradleyTerry(
      [
        [0, 30],
        [10, 0],
      ],
      ['a', 'b'],
    );
    expect(abilities[0]).toBeCloseTo(Math.log(3), 9);
    expect(standardErrors[0]).toBeCloseTo(Math.sqrt(1 / 30 + 1 / 10), 9);
  });

  it('expects as many wins as there were (the likelihood’s own equations)', () => {
    const { abilities } = bradleyTerry(SEVEN, NAMES);
    for (const i of SEVEN.keys()) {
      const expected = SEVEN.reduce(
        (sum, row, j) => (i === j ? sum : sum + (SEVEN[i][j] + row[i]) / (1 + Math.exp(abilities[j] - abilities[i]))),
        0,
      );
      expect(expected).toBeCloseTo(
        SEVEN[i].reduce((sum, wins) => sum + wins, 0),
        8,
      );
    }
  });

  it('refuses with a sentence what was never compared', () => {
    const wins = [
      [0, 3, 0, 0],
      [2, 0, 0, 0],
      [0, 0, 0, 1],
      [0, 0, 4, 0],
    ];
    expect(() => bradleyTerry(wins, ['Dry', 'Warm', 'Dark', 'Bright'])).toThrow(
      /^Dry, Warm and Dark, Bright were never compared/,
    );
  });

  it('refuses with a sentence who always won or always lost', () => {
    const names = ['Dry', 'Warm', 'Dark'];
    const [darkLost, dryWon, darkWon] = [
      [
        [0, 3, 2],
        [1, 0, 1],
        [0, 0, 0],
      ],
      [
        [0, 3, 2],
        [0, 0, 1],
        [0, 2, 0],
      ],
      [
        [0, 3, 0],
        [1, 0, 0],
        [2, 2, 0],
      ],
    ];
    expect(() => bradleyTerry(darkLost, names)).toThrow(/^Dark lost every comparison with Dry, Warm,/);
    expect(() => bradleyTerry(dryWon, names)).toThrow(/^Warm, Dark lost every comparison with Dry,/);
    expect(() => bradleyTerry(darkWon, names)).toThrow(/^Dark won every comparison with Dry, Warm,/);
  });

  it('refuses half wins, ragged tables and single scenes', () => {
    expect(() =>
      bradleyTerry(
        [
          [0, 0.5],
          [1, 0],
        ],
        ['a', 'b'],
      ),
    ).toThrow(BlindTrialError);
    expect(() => bradleyTerry([[0], [1, 0]], ['a', 'b'])).toThrow(BlindTrialError);
    expect(() => bradleyTerry([[0]], ['a'])).toThrow(BlindTrialError);
  });
});
