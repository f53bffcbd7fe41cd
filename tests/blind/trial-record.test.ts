import { describe, expect, it } from 'vitest';
import { toCsv, toJson } from '../../src/blind/trial-csv.ts';
import { recompute } from '../../src/blind/trial-figures.ts';
import type { TrialPlan } from '../../src/blind/trial-plan.ts';
import { BlindTrialError } from '../../src/blind/trial-plan.ts';
import type { TrialRecord } from '../../src/blind/trial-record.ts';
import { parseRecord } from '../../src/blind/trial-record.ts';
import { analyse } from '../../src/blind/trial-results.ts';
import { resultSentence } from '../../src/blind/trial-words.ts';
import {
  abxListener,
  abxPlan,
  confirmPlan,
  drivePlan,
  guesser,
  preferencePlan,
  run,
  seededRandom,
} from './listeners.ts';

const PLANS: [string, TrialPlan][] = [
  ['ABX, fixed', abxPlan({ type: 'fixed', trials: 16 })],
  ['ABX, any time', abxPlan({ type: 'any-time', cap: 30 })],
  ['preference of two', preferencePlan({ type: 'fixed', trials: 20 })],
  ['preference of four', preferencePlan({ type: 'fixed', trials: 40 }, ['Dry', 'Warm', 'Dark', 'Bright'])],
  ['drive search', drivePlan()],
  ['confirm', confirmPlan(5.5, 30)],
];

function recordOf(plan: TrialPlan, seed = 1): TrialRecord {
  return run(plan, guesser(seededRandom(seed + 70)), seededRandom(seed));
}

/** A deep copy as it comes back from a file. */
function copy(record: TrialRecord): TrialRecord {
  return JSON.parse(toJson(record)) as TrialRecord;
}

describe.each(PLANS)('a record of %s', (_, plan) => {
  const record = recordOf(plan);

  it('comes back from JSON as it was, and gives the same figures again', () => {
    const again = parseRecord(JSON.parse(toJson(record)));
    expect(again).toEqual(record);
    const { figures, disagreeing, coinsAsDrawn } = recompute(again);
    expect(disagreeing).toEqual([]);
    expect(coinsAsDrawn).toBe(true);
    expect(figures).toEqual(record.stated);
    expect(resultSentence(analyse(again).result).length).toBeGreaterThan(20);
  });

  it('is found out when an answer, a coin or a figure was changed', () => {
    const answer = copy(record);
    const trial = answer.trials.findLast(({ role, answer: given }) => role === 'scored' && given !== null);
    if (trial) trial.answer = trial.answer === 'first' ? 'second' : 'first';
    expect(recompute(parseRecord(answer)).disagreeing).not.toEqual([]);
    const coin = copy(record);
    coin.trials[3].orderCoin = coin.trials[3].orderCoin === 0 ? 1 : 0;
    expect(recompute(parseRecord(coin)).coinsAsDrawn).toBe(false);
    const figure = copy(record);
    figure.stated.verdict = 'loved';
    expect(recompute(parseRecord(figure)).disagreeing).toEqual(['verdict']);
  });

  it('becomes a table with a row for each trial', () => {
    const lines = toCsv(record).trimEnd().split('\r\n');
    const width = lines[0].split(',').length;
    expect(lines).toHaveLength(record.trials.length + 1);
    for (const line of lines) expect(line.split(',')).toHaveLength(width);
  });
});

describe('figures of a record by hand', () => {
  it('12 of 16 right: p = 0.0384063720703125, 0.476 to 0.927', () => {
    const record = copy(recordOf(abxPlan({ type: 'fixed', trials: 16 })));
    let right = 0;
    for (const trial of record.trials) {
      if (trial.role !== 'scored') continue;
      const isRight = right++ < 12;
      trial.answer = (trial.xCoin === 0) === isRight ? 'first' : 'second';
    }
    const { result } = analyse(record);
    expect(result).toMatchObject({ verdict: 'heard', correct: 12, trials: 16, ruledOut: null });
    expect(result.kind === 'abx' && result.p).toBeCloseTo(0.0384063720703125, 14);
    expect(result.kind === 'abx' && result.interval?.low).toBeCloseTo(0.476229, 6);
    expect(resultSentence(result)).toBe('Heard: 12 of 16 right (p = 0.0384).');
  });

  it('a null result says what it rules out', () => {
    const random = seededRandom(4);
    const record = run(abxPlan({ type: 'fixed', trials: 40 }), abxListener(0.5, random), random);
    const { result } = analyse(record);
    expect(result).toMatchObject({ verdict: 'not-shown' });
    expect(resultSentence(result)).toMatch(
      /^No difference shown: \d+ of 40 right \(p = 0\.\d+\)\. Ruled out with 95 % confidence: being right in more than \d+ % of trials\.$/,
    );
  });

  it('catch trials are counted apart, misses and all', () => {
    const record = copy(recordOf(abxPlan({ type: 'fixed', trials: 60 })));
    for (const trial of record.trials) trial.answer = trial.xCoin === 0 ? 'first' : 'second';
    expect(analyse(record).catches).toMatchObject({ missed: 0, withRightAnswer: expect.any(Number) });
    const before = analyse(record).result;
    for (const trial of record.trials) {
      if (trial.role === 'catch') trial.answer = trial.xCoin === 0 ? 'second' : 'first';
    }
    const { catches, result } = analyse(record);
    expect(catches.withRightAnswer).toBeGreaterThan(3);
    expect(catches.missed).toBe(catches.withRightAnswer);
    expect(catches.presented).toBe(9);
    expect(result).toEqual(before);
  });

  it('louder in preference trials is no mistake, but is told', () => {
    const record = run(
      preferencePlan({ type: 'fixed', trials: 80 }),
      ({ first, second }) => (first.extraGainDb > second.extraGainDb ? 'first' : 'second'),
      seededRandom(15),
    );
    const { louder, missed, overdriven } = analyse(record).catches;
    expect(louder.missed).toBeNull();
    expect(louder.presented).toBeGreaterThanOrEqual(3);
    expect(louder.choseLouder).toBe(louder.presented);
    expect(missed).toBe(overdriven.missed);
  });
});

describe('a file that can’t be used', () => {
  const good = () => JSON.parse(toJson(recordOf(PLANS[0][1]))) as Record<string, unknown> & TrialRecord;

  it.each<[string, (record: ReturnType<typeof good>) => unknown, RegExp]>([
    ['something else', () => ({ format: 'level-best-session' }), /not a record of trials/],
    ['null', () => null, /not a record of trials/],
    ['a list', () => [], /not a record of trials/],
    ['a newer one', (r) => ({ ...r, version: 2 }), /version 2, newer than this tool reads \(1\)/],
    ['no version', (r) => ({ ...r, version: undefined }), /damaged at "version"/],
    [
      'an answer that isn’t one',
      (r) => ({ ...r, trials: [{ ...r.trials[0], answer: 'third' }] }),
      /damaged at "trials.0.answer"/,
    ],
    [
      'a coin on its edge',
      (r) => ({ ...r, trials: [{ ...r.trials[0], orderCoin: 2 }] }),
      /damaged at "trials.0.orderCoin"/,
    ],
    [
      'a trial without X in ABX',
      (r) => ({ ...r, trials: [{ ...r.trials[0], xCoin: null }] }),
      /an X in ABX and only there/,
    ],
    [
      'an unknown side',
      (r) => ({
        ...r,
        trials: [{ ...r.trials[0], pair: [r.trials[0].pair[0], { ...r.trials[0].pair[1], side: 'b' }] }],
      }),
      /plays "b", which the plan doesn't have/,
    ],
    [
      'a plan without end',
      (r) => ({ ...r, plan: { ...r.plan, rule: { type: 'fixed', trials: 1e9 } } }),
      /damaged at "plan.rule.trials"/,
    ],
    [
      'an answered discard',
      (r) => ({ ...r, trials: [{ ...r.trials[0], discarded: 'listener' }] }),
      /discarded trial has no answer/,
    ],
  ])('%s: says so in a sentence', (_, change, sentence) => {
    const read = () => parseRecord(change(good()));
    expect(read).toThrow(BlindTrialError);
    expect(read).toThrow(sentence);
  });
});

describe('the table', () => {
  it('names who was where and what was right', () => {
    const record = copy(recordOf(PLANS[0][1]));
    const [header, ...rows] = toCsv(record).trimEnd().split('\r\n');
    const column = (name: string) => rows.map((row) => row.split(',')[header.split(',').indexOf(name)]);
    expect(column('x_is')).toEqual(record.trials.map(({ xCoin }) => (xCoin === 0 ? 'first' : 'second')));
    expect(column('right')).toEqual(
      record.trials.map(({ xCoin, answer }) => `${(answer === 'first') === (xCoin === 0)}`),
    );
    expect(new Set([...column('first_side'), ...column('second_side')])).toEqual(new Set(['clean', 'coloured']));
    expect(column('started_s')[2]).toBe('20');
    expect(column('ended_s')[2]).toBe('28.5');
  });

  it('quotes what would break it, and disarms what a spreadsheet would run', () => {
    const plan = abxPlan(
      { type: 'fixed', trials: 5 },
      {
        sides: [
          { id: '=1+1', name: 'One', matchGainDb: null },
          { id: 'warm, "soft"', name: 'Two', matchGainDb: null },
        ],
        catchTrials: false,
      },
    );
    const csv = toCsv(recordOf(plan));
    expect(csv).toContain(",'=1+1,");
    expect(csv).toContain(',"warm, ""soft""",');
  });

  it('has its header even without trials', () => {
    expect(toCsv({ ...recordOf(PLANS[0][1]), trials: [] })).toMatch(/^trial,kind,role,.*,discarded\r\n$/);
  });
});
