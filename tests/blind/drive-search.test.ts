import { describe, expect, it } from 'vitest';
import type { ConfirmResult } from '../../src/blind/confirm.ts';
import { candidatePairs, information, LEAST_DISTANCE_DB, sampledUtilities } from '../../src/blind/drive-design.ts';
import { DriveModel } from '../../src/blind/drive-model.ts';
import type { DriveSearchResult } from '../../src/blind/drive-search.ts';
import { DriveSearch } from '../../src/blind/drive-search.ts';
import { bitsFrom, DrawLog } from '../../src/blind/random-bits.ts';
import type { Amount } from '../../src/blind/shape-set.ts';
import { analyse } from '../../src/blind/trial-results.ts';
import { resultSentence } from '../../src/blind/trial-words.ts';
import { gaussian } from '../../src/dsp/random.ts';
import type { Habits } from './listeners.ts';
import { chooser, confirmPlan, drivePlan, guesser, median, run, seededRandom, twoSlopes } from './listeners.ts';

type Random = () => number;

const logUniform = (random: Random, low: number, high: number) => low * (high / low) ** random();
const someHabits = (random: Random): Habits => ({ lapse: 0.05 * random(), orderBias: 0.25 * gaussian(random) });

function search(utility: (amount: Amount) => number, random: Random, plan = drivePlan()): DriveSearchResult {
  const listener = chooser(({ amountDb }) => utility(amountDb), someHabits(random), random);
  return analyse(run(plan, listener, random)).result as DriveSearchResult;
}

describe('listeners with one peak', () => {
  // Peaks anywhere from 0 to 12 dB; 0.4 to 2.4 logits per dB below, half to three times that above; up to 5 % of answers
  // without listening, an order bias of 0.25 logits (standard deviation), clean 1 to 6 dB below the least amount.
  it('24 trials: median error at most 0.6 dB, 90 % interval covers at least 86 % (140 listeners, error 2.5 %)', () => {
    const random = seededRandom(201);
    const errors: number[] = [];
    let covered = 0;
    let misfits = 0;
    const verdicts: Record<string, number> = {};
    for (let i = 0; i < 140; i++) {
      const peak = 12 * random();
      const slope = logUniform(random, 0.4, 2.4);
      const utility = twoSlopes({ peak, slope, ratio: logUniform(random, 0.5, 3), gap: 1 + 5 * random() });
      const result = search(utility, random);
      expect(result.answers).toBe(24);
      errors.push(Math.abs((result.preferredDb ?? -1) - peak));
      if ((result.low ?? -1) <= peak && (result.high ?? -1) >= peak) covered++;
      if (result.misfit) misfits++;
      verdicts[result.verdict] = (verdicts[result.verdict] ?? 0) + 1;
    }
    console.log(
      `one peak: median error ${median(errors).toFixed(3)} dB, interval covers ${((100 * covered) / 140).toFixed(1)} %, ${misfits} of 140 warned, ${JSON.stringify(verdicts)}`,
    );
    expect(median(errors)).toBeLessThanOrEqual(0.6);
    expect(covered / 140).toBeGreaterThanOrEqual(0.86);
    expect(misfits / 140).toBeLessThanOrEqual(0.05);
  });

  it('stops before 32 trials once the interval is narrow, and then still covers (40 listeners)', () => {
    const random = seededRandom(202);
    let early = 0;
    let covered = 0;
    for (let i = 0; i < 40; i++) {
      const peak = 2 + 8 * random();
      const utility = twoSlopes({ peak, slope: 1.5, ratio: 1.5, gap: 3 });
      const result = search(utility, random, drivePlan({ trials: 32, widthDb: 1.5 }));
      if (result.answers < 32) early++;
      expect(result.answers).toBeGreaterThanOrEqual(12);
      if ((result.low ?? -1) <= peak && (result.high ?? -1) >= peak) covered++;
    }
    expect(early).toBeGreaterThan(20);
    // 90 % less three standard errors.
    expect(covered / 40).toBeGreaterThan(0.9 - 3 * Math.sqrt(0.09 / 40));
  });
});

describe('other listeners', () => {
  const verdicts = (utility: (amount: Amount) => number, runs: number, seed: number, trials = 24) => {
    const random = seededRandom(seed);
    return [...Array(runs).keys()].map(() => search(utility, random, drivePlan({ trials })));
  };
  const share = (results: readonly DriveSearchResult[], is: (result: DriveSearchResult) => boolean) =>
    results.filter(is).length / results.length;

  it('less is better: clean (24 listeners)', () => {
    const results = verdicts((amount) => -0.7 * ((amount ?? -3) + 3), 24, 203);
    expect(share(results, ({ verdict }) => verdict === 'clean')).toBeGreaterThan(0.85);
    expect(resultSentence(results.find(({ verdict }) => verdict === 'clean') as DriveSearchResult)).toMatch(
      /^Less is better/,
    );
  });

  it('more is better: an interval up to the end of the range (24 listeners)', () => {
    const results = verdicts((amount) => 0.7 * (amount ?? -3), 24, 204);
    expect(share(results, ({ high, verdict }) => verdict !== 'no-preference' && (high ?? 0) > 11.5)).toBeGreaterThan(
      0.85,
    );
    expect(share(results, ({ verdict }) => verdict === 'greatest')).toBeGreaterThan(0.25);
  });

  it('two peaks: a warning (20 listeners), in the sentence too', () => {
    const bump = (amount: Amount, at: number) => 4 * Math.exp(-0.5 * (((amount ?? -2) - at) / 1.3) ** 2);
    const results = verdicts((amount) => bump(amount, 2.5) + bump(amount, 9.5), 20, 205, 32);
    expect(share(results, ({ misfit }) => misfit)).toBeGreaterThan(0.6);
    expect(resultSentence(results.find(({ misfit }) => misfit) as DriveSearchResult)).toMatch(/do not fit one peak/);
  });

  it('best at both ends: a warning (20 listeners)', () => {
    const results = verdicts((amount) => 0.8 * Math.abs((amount ?? -1) - 5.5), 20, 206);
    expect(share(results, ({ misfit }) => misfit)).toBeGreaterThan(0.8);
  });
});

describe('a listener without a preference', () => {
  it('sees none in 95 %, and hears "it helps" after confirm in at most 5 % (120 sessions, errors below 2 %)', () => {
    const random = seededRandom(207);
    let shown = 0;
    let helps = 0;
    let hurts = 0;
    for (let i = 0; i < 120; i++) {
      const found = analyse(run(drivePlan(), guesser(random), random)).result as DriveSearchResult;
      if (found.verdict !== 'no-preference') shown++;
      // Whatever the search found is put to the test, even where it says that nothing was shown.
      const amount = found.preferredDb ?? 0;
      const { verdict } = analyse(run(confirmPlan(amount), guesser(random), random)).result as ConfirmResult;
      if (verdict === 'helps') helps++;
      if (verdict === 'hurts') hurts++;
    }
    console.log(`flat: preference shown in ${shown}, helps ${helps}, hurts ${hurts} of 120`);
    expect(shown / 120).toBeLessThanOrEqual(0.05);
    expect(helps / 120).toBeLessThanOrEqual(0.05);
    expect(hurts / 120).toBeLessThanOrEqual(0.05);
  });
});

describe('the choice of pairs', () => {
  it('never plays amounts less than 1 dB apart, and plays clean', () => {
    const random = seededRandom(208);
    const log = new DrawLog(bitsFrom(random));
    let withClean = 0;
    for (let session = 0; session < 6; session++) {
      const one = new DriveSearch({ min: 0, max: 12, trials: 32, widthDb: 0 });
      while (!one.done) {
        const [low, high] = one.next(log);
        one.record({ first: low, second: high, chosen: random() < 0.5 ? 'first' : 'second' });
        if (low === null) withClean++;
        else expect((high as number) - low).toBeGreaterThanOrEqual(LEAST_DISTANCE_DB - 1e-9);
      }
    }
    expect(withClean).toBeGreaterThan(5);
  });

  it('finds no information in a pair of equal utilities, and most of a bit where half of the curves differ strongly', () => {
    expect(information(new Float64Array(8), new Float64Array(8))).toBeCloseTo(0, 12);
    const strong = Float64Array.from([9, -9, 9, -9]);
    // ln 2 less the entropy of a lapse of 3 %: 0.0779.
    expect(information(new Float64Array(4), strong)).toBeCloseTo(Math.LN2 - 0.0779, 2);
  });

  it('thinks about all three families at first', () => {
    const model = new DriveModel(0, 12);
    const { peak, flat, valley } = model.families();
    for (const [share, expected] of [
      [peak, 0.5],
      [flat, 0.3],
      [valley, 0.2],
    ])
      expect(share).toBeCloseTo(expected, 12);
    const spread = sampledUtilities(model, 6);
    expect([...spread].filter((value) => value === 0).length).toBeGreaterThanOrEqual(0.3 * spread.length - 1);
    expect(candidatePairs(model)).toHaveLength(25 + 276);
  });
});

describe('the model', () => {
  it('multiplies probabilities as Bayes’ rule says: the order of answers makes no difference', () => {
    const answers = [
      { first: 0, second: 4, chosen: 'second' },
      { first: 9, second: null, chosen: 'first' },
      { first: 6, second: 11, chosen: 'first' },
    ] as const;
    const [forwards, backwards] = [new DriveModel(0, 12), new DriveModel(0, 12)];
    for (const answer of answers) forwards.update(answer);
    for (const answer of [...answers].reverse()) backwards.update(answer);
    expect(forwards.preferenceFactor).toBeCloseTo(backwards.preferenceFactor, 10);
    for (const [i, value] of forwards.peakProbabilities().entries()) {
      expect(value).toBeCloseTo(backwards.peakProbabilities()[i], 12);
    }
    expect(forwards.peakProbabilities().reduce((sum, value) => sum + value, 0)).toBeCloseTo(1, 12);
  });

  it('reckons with answers without listening and a liking for the second: those of equals are no independent coins', () => {
    const model = new DriveModel(0, 12);
    for (let k = 0; k < 4; k++) model.update({ first: 2, second: 7, chosen: 'second' });
    // Without a preference: the mean over the grid of (λ/2 + (1 − λ)/(1 + e^−b))⁴, which is more than 1/16.
    let mean = 0;
    for (const lapse of [0.01, 0.08]) {
      for (const bias of [-0.5, 0, 0.5]) mean += (lapse / 2 + (1 - lapse) / (1 + Math.exp(-bias))) ** 4 / 6;
    }
    expect(mean).toBeGreaterThan(1 / 16);
    expect(model.flat.logEvidence).toBeCloseTo(Math.log(mean), 12);
  });

  it('gives both answers to a pair probabilities that add up to 1', () => {
    const evidence = (chosen: 'first' | 'second') => {
      const model = new DriveModel(-6, 6);
      model.update({ first: -6, second: 2, chosen });
      return [model.peak, model.flat, model.valley].map(({ logEvidence }) => Math.exp(logEvidence));
    };
    const [first, second] = [evidence('first'), evidence('second')];
    for (const [i, value] of first.entries()) expect(value + second[i]).toBeCloseTo(1, 12);
  });

  it('refuses a range that isn’t one', () => {
    expect(() => new DriveModel(6, 6)).toThrow(RangeError);
    expect(() => new DriveModel(0, Number.NaN)).toThrow(RangeError);
  });
});
