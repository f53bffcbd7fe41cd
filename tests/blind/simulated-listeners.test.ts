/** What the rules promise, held against many seeded listeners who go through the shipped scheduler. */
import { describe, expect, it } from 'vitest';
import type { AbxResult } from '../../src/blind/abx.ts';
import type { ConfirmResult } from '../../src/blind/confirm.ts';
import { analyse } from '../../src/blind/trial-results.ts';
import {
  abxListener,
  abxPlan,
  chooser,
  confirmPlan,
  guesser,
  median,
  preferencePlan,
  run,
  seededRandom,
} from './listeners.ts';

describe('stop-any-time ABX', () => {
  it('alarms for guessers who look after every trial up to 50 in at most 5 % (2000 runs, error 0.4 %)', () => {
    const random = seededRandom(101);
    const plan = abxPlan({ type: 'any-time', cap: 50 }, { training: 0 });
    let alarms = 0;
    let peeks = 0;
    for (let i = 0; i < 2000; i++) {
      const guess = guesser(random);
      const record = run(
        plan,
        (playback, state) => {
          if (state.score !== null) peeks++;
          return guess(playback, state);
        },
        random,
      );
      if ((analyse(record).result as AbxResult).verdict === 'heard') alarms++;
    }
    expect(peeks).toBeGreaterThan(2000 * 45);
    expect(alarms / 2000).toBeLessThanOrEqual(0.05);
    // And it does alarm: exact enumeration to 50 looks gives about 2.7 %.
    expect(alarms).toBeGreaterThan(20);
    console.log(`guessers: ${((100 * alarms) / 2000).toFixed(2)} % alarms in 50 looks`);
  });

  it('finds listeners who are right in 80 % in a median of at most 20 counting trials (400 runs)', () => {
    const random = seededRandom(102);
    const plan = abxPlan({ type: 'any-time', cap: 100 });
    const lengths: number[] = [];
    for (let i = 0; i < 400; i++) {
      const result = analyse(run(plan, abxListener(0.8, random), random)).result as AbxResult;
      lengths.push(result.verdict === 'heard' ? result.trials : Number.POSITIVE_INFINITY);
    }
    expect(median(lengths)).toBeLessThanOrEqual(20);
    expect(lengths.filter(Number.isFinite).length).toBeGreaterThan(390);
    console.log(`right in 80 %: found after a median of ${median(lengths)} trials`);
  });

  it('for a null result rules out a rate that guessers’ intervals bear out', () => {
    const random = seededRandom(103);
    const plan = abxPlan({ type: 'any-time', cap: 60 }, { training: 0, catchTrials: false });
    const results = [...Array(300).keys()].map(
      () => analyse(run(plan, abxListener(0.6, random), random)).result as AbxResult,
    );
    const missed = results.filter(({ ruledOut }) => ruledOut !== null && ruledOut.rightRate < 0.6).length;
    expect(missed / results.length).toBeLessThanOrEqual(0.05);
    const typical = results.find(({ verdict }) => verdict === 'not-shown');
    expect(typical?.ruledOut?.rightRate).toBeLessThan(0.9);
    expect(typical?.ruledOut?.heardShare).toBeCloseTo(2 * (typical?.ruledOut?.rightRate ?? 0) - 1, 12);
  });
});

describe('fixed-number ABX', () => {
  it('alarms for guessers as often as its exact p says: 3.84 % with 12 of 16 (2000 runs, error 0.43 %)', () => {
    const random = seededRandom(104);
    const plan = abxPlan({ type: 'fixed', trials: 16 }, { training: 0 });
    let alarms = 0;
    for (let i = 0; i < 2000; i++) {
      if ((analyse(run(plan, guesser(random), random)).result as AbxResult).verdict === 'heard') alarms++;
    }
    expect(Math.abs(alarms / 2000 - 0.0384063720703125)).toBeLessThan(4 * Math.sqrt((0.0384 * 0.9616) / 2000));
  });

  it('counts no catch trial: a listener who only hears overdriving stays at chance', () => {
    const random = seededRandom(105);
    const plan = abxPlan({ type: 'fixed', trials: 80 });
    let correct = 0;
    let missed = 0;
    for (let i = 0; i < 40; i++) {
      const { result, catches } = analyse(
        run(
          plan,
          (playback, state) => {
            const plain = playback.first.overdriven !== playback.second.overdriven;
            return (plain ? abxListener(1, random) : guesser(random))(playback, state);
          },
          random,
        ),
      );
      correct += (result as AbxResult).correct;
      missed += catches.overdriven.missed;
      expect(catches.presented).toBe(11);
      expect(catches.overdriven.presented).toBeGreaterThanOrEqual(3);
    }
    expect(missed).toBe(0);
    expect(Math.abs(correct / 3200 - 0.5)).toBeLessThan(4 * Math.sqrt(0.25 / 3200));
  });
});

describe('confirm', () => {
  const share = (listenerOf: () => ReturnType<typeof guesser>, runs: number, seed: number) => {
    const random = seededRandom(seed);
    const verdicts = [...Array(runs).keys()].map(
      () => (analyse(run(confirmPlan(6), listenerOf(), random)).result as ConfirmResult).verdict,
    );
    return (verdict: ConfirmResult['verdict']) => verdicts.filter((one) => one === verdict).length / runs;
  };

  it('says neither to listeners who always choose the first (800 runs, error 0.8 %)', () => {
    const of = share(() => () => 'first', 800, 106);
    expect(of('helps')).toBeLessThanOrEqual(0.05);
    expect(of('hurts')).toBeLessThanOrEqual(0.05);
    expect(of('helps') + of('hurts')).toBeLessThanOrEqual(0.05);
  });

  it('finds both directions for listeners who choose one side in 85 % (200 runs each)', () => {
    const random = seededRandom(107);
    const liking = (sign: number) => () =>
      chooser(({ side }) => (side === 'amount' ? sign * 1.735 : 0), { lapse: 0, orderBias: 0 }, random);
    expect(share(liking(1), 200, 108)('helps')).toBeGreaterThan(0.95);
    expect(share(liking(-1), 200, 109)('hurts')).toBeGreaterThan(0.95);
  });
});

describe('preference between two sides', () => {
  it('alarms for guessers in at most 5 % under either rule (800 runs each, error 0.8 %)', () => {
    const random = seededRandom(110);
    for (const rule of [{ type: 'fixed', trials: 20 } as const, { type: 'any-time', cap: 50 } as const]) {
      const shown = [...Array(800).keys()].filter(
        () => analyse(run(preferencePlan(rule), guesser(random), random)).result.verdict === 'preferred',
      ).length;
      // Exact for 15 of 20 or more, both tails: 4.14 %.
      expect(shown / 800).toBeLessThanOrEqual(
        0.05 + 2 * Math.sqrt((0.05 * 0.95) / 800) * (rule.type === 'fixed' ? 1 : 0),
      );
      expect(shown).toBeGreaterThan(0);
    }
  });
});
