import { describe, expect, it } from 'vitest';
import { BREAK_AFTER, TrialScheduler } from '../../src/blind/scheduler.ts';
import { BlindTrialError, DEFAULTS, type TrialPlan } from '../../src/blind/trial-plan.ts';
import type { DiscardReason } from '../../src/blind/trial-record.ts';
import { parseRecord, slotsOf } from '../../src/blind/trial-record.ts';
import { analyse } from '../../src/blind/trial-results.ts';
import { resultSentence } from '../../src/blind/trial-words.ts';
import {
  abxListener,
  abxPlan,
  confirmPlan,
  drivePlan,
  facts,
  guesser,
  preferencePlan,
  run,
  seededRandom,
} from './listeners.ts';

const FIXED = abxPlan({ type: 'fixed', trials: 16 });

/** Everything that can be read from an object without calling a method: own and inherited, through getters, deep. */
function readable(value: unknown, path = '', seen = new Set<unknown>()): string[] {
  if ((typeof value !== 'object' && typeof value !== 'function') || value === null) return [`${path}=${String(value)}`];
  if (seen.has(value)) return [];
  seen.add(value);
  const found: string[] = [];
  for (let level: object | null = value; level && level !== Object.prototype; level = Object.getPrototypeOf(level)) {
    if (level === Function.prototype || level === Array.prototype) break;
    for (const key of Reflect.ownKeys(level)) {
      if (key === 'constructor' || key === 'prototype') continue;
      found.push(...readable((value as Record<PropertyKey, unknown>)[key], `${path}.${String(key)}`, seen));
    }
  }
  return found.sort();
}

const ANSWERS = [...'fssfsfffssfsffssfsfsssffsfsfsffss'].map((letter) => (letter === 'f' ? 'first' : 'second'));

/** What can be read at every step while the same answers are given, and what was really played. */
function transcript(plan: TrialPlan, seed: number, steps = ANSWERS.length): { seen: string[][]; played: string } {
  const scheduler = new TrialScheduler(plan, facts(seededRandom(seed)));
  const seen = [readable(scheduler)];
  const played: unknown[] = [];
  for (let i = 0; i < steps && scheduler.state.phase !== 'complete'; i++) {
    const playback = scheduler.next(i);
    played.push(playback.first.side, playback.x === playback.first);
    seen.push(readable(scheduler));
    if (i === 3) scheduler.discard('tab-hidden', i);
    else scheduler.answer(ANSWERS[i] as 'first' | 'second', i);
    seen.push(readable(scheduler));
  }
  return { seen, played: JSON.stringify(played) };
}

describe('nothing readable before the reveal depends on the assignment', () => {
  it.each([
    ['ABX to its end', { ...FIXED, training: 0 }, 33],
    ['preference to its end', preferencePlan({ type: 'fixed', trials: 20 }), 33],
    ['drive search to its end', drivePlan(), 33],
    ['confirm, as long as nothing can be decided', confirmPlan(6), 6],
    ['ABX with training, before its first answer', FIXED, 0],
  ] as const)('%s', (_, plan, steps) => {
    const all = [...Array(24).keys()].map((seed) => transcript(plan, seed, steps));
    for (const { seen } of all) expect(seen).toEqual(all[0].seen);
    if (steps > 0) expect(new Set(all.map(({ played }) => played)).size).toBeGreaterThan(8);
  });

  it('training and the stop-any-time score tell only after the answer', () => {
    const anyTime = abxPlan({ type: 'any-time', cap: 60 });
    const states = [...Array(24).keys()].map((seed) => {
      const scheduler = new TrialScheduler(anyTime, facts(seededRandom(seed)));
      scheduler.next(0);
      const before = readable(scheduler);
      scheduler.answer('first', 1);
      return { before, after: scheduler.state.feedback };
    });
    for (const { before } of states) expect(before).toEqual(states[0].before);
    expect(new Set(states.map(({ after }) => after))).toEqual(new Set(['right', 'wrong']));
  });

  it('and the reader would find it: it does in what the audio gets, and after the end', () => {
    const playbacks = [...Array(24).keys()].map((seed) =>
      readable(new TrialScheduler(FIXED, facts(seededRandom(seed))).next(0)).join(),
    );
    expect(new Set(playbacks).size).toBeGreaterThan(1);
    const records = [1, 2].map((seed) => readable(run(FIXED, guesser(seededRandom(9)), seededRandom(seed))).join());
    expect(records[0]).not.toBe(records[1]);
  });

  it('refuses the reveal before the end', () => {
    const scheduler = new TrialScheduler(FIXED, facts(seededRandom(3)));
    expect(() => scheduler.reveal()).toThrow(/when the trials have ended/);
    scheduler.next(0);
    expect(() => scheduler.reveal()).toThrow(BlindTrialError);
  });
});

describe('a session', () => {
  it('begins with training, has one catch trial in eight, pauses after every twelve, and ends at its number', () => {
    const scheduler = new TrialScheduler(abxPlan({ type: 'fixed', trials: 28 }), facts(seededRandom(5)));
    const phases: string[] = [];
    while (scheduler.state.phase !== 'complete') {
      expect(scheduler.state.of).toBe(34);
      expect(scheduler.state.training).toBe(scheduler.state.trial <= 2);
      scheduler.next(0);
      phases.push(scheduler.answer('first', 1).phase);
    }
    const roles = scheduler.reveal().trials.map(({ role }) => role);
    expect(roles.slice(0, 2)).toEqual(['training', 'training']);
    expect(roles.filter((role) => role === 'scored')).toHaveLength(28);
    expect(roles.filter((role) => role === 'catch')).toHaveLength(4);
    expect(phases.flatMap((phase, i) => (phase === 'break' ? [i + 1] : []))).toEqual([BREAK_AFTER, 2 * BREAK_AFTER]);
    expect(() => scheduler.next(2)).toThrow(/have ended/);
  });

  it('hides the score of a fixed number, and shows it under the stop-any-time rule only in ABX', () => {
    const score = (plan: TrialPlan) => {
      const scheduler = new TrialScheduler(plan, facts(seededRandom(6)));
      for (let i = 0; i < 6; i++) {
        scheduler.next(i);
        scheduler.answer('first', i);
      }
      return scheduler.state.score;
    };
    expect(score(FIXED)).toBeNull();
    expect(score(confirmPlan(4))).toBeNull();
    expect(score(abxPlan({ type: 'any-time', cap: 60 }, { catchTrials: false }))?.answered).toBe(4);
  });

  it.each(['sound-interrupted', 'tab-hidden', 'device-changed', 'listener'] as const)(
    'keeps a pair that was discarded (%s) in the record, replaces it, and never counts it',
    (reason: DiscardReason) => {
      const scheduler = new TrialScheduler({ ...FIXED, training: 0 }, facts(seededRandom(7)));
      for (let i = 0; scheduler.state.phase !== 'complete'; i++) {
        scheduler.next(i);
        if (i % 5 === 2) expect(scheduler.discard(reason, i)).toMatchObject({ lastDiscard: reason, phase: 'ready' });
        else scheduler.answer('second', i);
      }
      const record = scheduler.reveal();
      const { counted, discarded, discardReasons, result } = analyse(record);
      expect(counted).toBe(16);
      expect(discarded).toBe(record.trials.filter((trial) => trial.discarded === reason).length);
      expect(discardReasons).toEqual({ [reason]: discarded });
      expect(discarded).toBeGreaterThan(3);
      expect(result).toMatchObject({ trials: 16 });
    },
  );

  it('discards a pair that wasn’t matched to 0.1 LU, or whose match isn’t a number', () => {
    const scheduler = new TrialScheduler({ ...FIXED, training: 0 }, facts(seededRandom(8)));
    for (const residualLu of [0.11, -0.2, Number.NaN]) {
      scheduler.next(0);
      expect(scheduler.answer('first', 1, { firstDb: 0, secondDb: 0, residualLu }).lastDiscard).toBe('not-matched');
    }
    scheduler.next(2);
    const state = scheduler.answer('first', 3, { firstDb: -3, secondDb: -3.4, residualLu: 0.1 });
    expect(state).toMatchObject({ discarded: 3, lastDiscard: null, trial: 2 });
    scheduler.stop(4);
    const { trials } = parseRecord(JSON.parse(JSON.stringify(scheduler.reveal())));
    expect(trials.map(({ gains }) => gains?.residualLu)).toEqual([0.11, -0.2, undefined, 0.1]);
  });

  it('draws no conclusion from a fixed number that was stopped early', () => {
    const random = seededRandom(9);
    const scheduler = new TrialScheduler({ ...FIXED, training: 0 }, facts(random));
    const listener = abxListener(1, random);
    for (let i = 0; i < 10; i++) scheduler.answer(listener(scheduler.next(i), scheduler.state), i);
    scheduler.next(11);
    scheduler.stop(12);
    const record = scheduler.reveal();
    expect(record.ended).toBe('stopped');
    expect(record.trials.at(-1)?.discarded).toBe('listener');
    const { result } = analyse(record);
    expect(result).toMatchObject({ verdict: 'incomplete', p: null, interval: null });
    expect(resultSentence(result)).toMatch(/no conclusion/);
  });

  it('says so when asked for something at the wrong time', () => {
    const scheduler = new TrialScheduler(FIXED, facts(seededRandom(10)));
    expect(() => scheduler.answer('first', 0)).toThrow(/No pair is playing/);
    expect(() => scheduler.discard('listener', 0)).toThrow(/No pair is playing/);
    scheduler.next(0);
    expect(() => scheduler.next(1)).toThrow(/Answer this pair first/);
  });

  it('accepts the default settings of every kind', () => {
    const { training, catchTrials, fixedTrials, anyTimeCap, driveTrials, driveWidthDb, confirmCap } = DEFAULTS;
    const plans = [
      abxPlan({ type: 'fixed', trials: fixedTrials }),
      preferencePlan({ type: 'any-time', cap: anyTimeCap }),
      drivePlan({ trials: driveTrials, widthDb: driveWidthDb }),
      confirmPlan(4, confirmCap),
    ];
    for (const plan of plans) {
      const record = run({ ...plan, training, catchTrials }, guesser(seededRandom(20)), seededRandom(21));
      expect(record.ended).toBe('complete');
      expect(parseRecord(record)).toEqual(record);
    }
  });

  it.each<[string, TrialPlan]>([
    ['a number too small', abxPlan({ type: 'fixed', trials: 4 })],
    ['a range turned round', drivePlan({ min: 6, max: 0 })],
    ['several sides without a number', preferencePlan({ type: 'any-time', cap: 50 }, ['Dry', 'Warm', 'Dark'])],
    ['two sides of one id', preferencePlan({ type: 'fixed', trials: 20 }, ['Warm', 'Warm'])],
    ['more trials than a search has', drivePlan({ trials: 40 })],
  ])('refuses a plan with %s', (_, plan) => {
    expect(() => new TrialScheduler(plan, facts(seededRandom(1)))).toThrow(BlindTrialError);
  });
});

describe('assignments', () => {
  const records = [...Array(250).keys()].map((seed) =>
    run(FIXED, guesser(seededRandom(seed + 5000)), seededRandom(seed + 1)),
  );
  const trials = records.flatMap((record) => record.trials);

  it('are fair coins of their own: each side first, X each of both, independent of the last, within 4 errors', () => {
    const near = (values: readonly boolean[]) => {
      const share = values.filter(Boolean).length / values.length;
      expect(Math.abs(share - 0.5)).toBeLessThan(4 * Math.sqrt(0.25 / values.length));
    };
    near(trials.map(({ orderCoin }) => orderCoin === 1));
    near(trials.map(({ xCoin }) => xCoin === 1));
    near(trials.map(({ orderCoin, xCoin }) => orderCoin === xCoin));
    near(trials.slice(1).map(({ xCoin }, i) => xCoin === trials[i].xCoin));
    near(trials.slice(1).map(({ orderCoin }, i) => orderCoin === trials[i].orderCoin));
  });

  it('are not balanced: the number of times X is the first varies as coins do', () => {
    const counts = records.map((record) => record.trials.filter(({ xCoin }) => xCoin === 0).length);
    const mean = counts.reduce((sum, count) => sum + count, 0) / counts.length;
    const variance = counts.reduce((sum, count) => sum + (count - mean) ** 2, 0) / (counts.length - 1);
    // 20 coins: variance 5; its standard error over 250 sessions is about 5·√(2/249).
    expect(records[0].trials).toHaveLength(20);
    expect(Math.abs(variance - 5)).toBeLessThan(4 * 5 * Math.sqrt(2 / 249));
  });

  it('have every coin in the log, in order', () => {
    for (const { draws, trials: own } of records.slice(0, 20)) {
      expect(draws.filter(({ purpose }) => purpose === 'order').map(({ value }) => value)).toEqual(
        own.map(({ orderCoin }) => orderCoin),
      );
      expect(draws.filter(({ purpose }) => purpose === 'x').map(({ value }) => value)).toEqual(
        own.map(({ xCoin }) => xCoin),
      );
    }
  });

  it('X is always one of the other two', () => {
    for (const trial of trials.slice(0, 200)) {
      const { first, second, x } = slotsOf(trial);
      expect(x === first || x === second).toBe(true);
    }
  });
});

describe('several scenes', () => {
  it('come in rounds of all pairs, and end on a Bradley-Terry scale in the right order', () => {
    const random = seededRandom(12);
    const plan = preferencePlan({ type: 'fixed', trials: 60 }, ['Dry', 'Warm', 'Dark', 'Bright']);
    const utility: Record<string, number> = { dry: 0, warm: 1.6, dark: -1.2, bright: 0.6 };
    const record = run(
      plan,
      ({ first, second }) =>
        random() < 1 / (1 + Math.exp(utility[second.side] - utility[first.side])) ? 'first' : 'second',
      random,
    );
    const pairs = record.trials
      .filter(({ role }) => role === 'scored')
      .map(({ pair }) => pair.map(({ side }) => side).join());
    for (let round = 0; round < 10; round++) expect(new Set(pairs.slice(6 * round, 6 * round + 6)).size).toBe(6);
    const { result } = analyse(record);
    expect(result.kind === 'preference' && result.scale?.worth.indexOf(Math.max(...result.scale.worth))).toBe(1);
    expect(resultSentence(result)).toMatch(
      /^A preference is shown in 60 answers \(p .*\)\. From most to least chosen: Warm/,
    );
  });

  it('without a finite scale say why', () => {
    const plan = preferencePlan({ type: 'fixed', trials: 12 }, ['Dry', 'Warm', 'Dark']);
    const record = run(plan, ({ first }) => (first.side === 'dry' ? 'first' : 'second'), seededRandom(13));
    const { result } = analyse(record);
    expect(result).toMatchObject({ verdict: 'preferred', scale: null });
    expect(resultSentence(result)).toMatch(/no finite estimate/);
  });
});
