/** The store of blind trials: honest to the listener while it runs, and to the session afterwards. */
import { describe, expect, it } from 'vitest';
import { recompute } from '../../src/blind/trial-figures.ts';
import { slotsOf } from '../../src/blind/trial-record.ts';
import { TrialError } from '../../src/measure/trial/trial-set.ts';
import { smallSession } from '../measure/sessions.ts';
import type { Played } from './trial-rig.ts';
import { abx, answerAll, publicState, type Rig, right, same, trialRig } from './trial-rig.ts';

describe('an ABX from the question to the kept record', () => {
  it('plays what the record says was played, and scores it', async () => {
    const rig = trialRig();
    const { trials, pairs, history } = rig;
    await trials.prepare(abx());
    expect([trials.phase, trials.state?.phase, trials.slot, trials.outcome]).toEqual(['running', 'ready', null, null]);
    await answerAll(rig, right);
    const { record, analysis, sentence } = trials.outcome!;
    expect(trials.phase).toBe('done');
    expect(record.trials).toHaveLength(pairs.length);
    for (const [i, trial] of record.trials.entries()) {
      const { first, second, x } = slotsOf(trial);
      const played = pairs[i] as Played;
      for (const [source, heard] of [
        [first, played.first],
        [second, played.second],
        [x, played.x],
      ] as const) {
        const { side, overdriven, extraGainDb } = source!;
        expect(heard).toEqual({ id: side, overdriven, extraGainDb });
      }
    }
    expect(analysis.result).toMatchObject({ kind: 'abx', verdict: 'heard', correct: 8, trials: 8 });
    expect(sentence).toMatch(/^Heard: 8 of 8 right/);
    expect(recompute(record)).toMatchObject({ disagreeing: [], coinsAsDrawn: true });
    expect(history.document.trials.map(({ record: kept }) => kept)).toEqual([record]);
    expect(history.canUndo).toBe(false);
  });

  it('states in the record what was applied: match, common attenuation, what was left between the two', async () => {
    const rig = trialRig({ attenuationDb: -2, monitorDb: -6 });
    await rig.trials.prepare(abx());
    await answerAll(rig, right);
    const { plan, trials, programme, software } = rig.trials.outcome!.record;
    expect(plan).toMatchObject({
      sides: [
        { name: 'Clean', matchGainDb: 0 },
        { name: 'Coloured', matchGainDb: -0.5 },
      ],
    });
    expect([programme, software]).toEqual(['Harbour Hall, 0.0 to 10.0 s', 'Level Best 0.0.0']);
    for (const trial of trials.filter(({ role }) => role !== 'catch')) {
      const gains = trial.orderCoin === 0 ? [-2, -2.5, 0.002] : [-2.5, -2, -0.002];
      expect([trial.gains?.firstDb, trial.gains?.secondDb, trial.gains?.residualLu]).toEqual(gains);
    }
    // −2 dB and the monitor's −6 dB, for every slot alike.
    expect(new Set(rig.pairs.map(({ level }) => level.toFixed(6)))).toEqual(new Set([(10 ** (-8 / 20)).toFixed(6)]));
  });

  it('hears a slot, mutes, and lets go between pairs', async () => {
    const { trials, told } = trialRig();
    await trials.prepare(abx());
    trials.hear('second');
    expect(trials.slot).toBeNull();
    await trials.next();
    expect([trials.slot, trials.state?.phase]).toEqual(['first', 'playing']);
    trials.hear('x');
    trials.setMuted(true);
    expect([trials.slot, trials.muted]).toEqual(['x', true]);
    trials.hear('second');
    expect([trials.slot, trials.muted]).toEqual(['second', false]);
    trials.answer('first');
    expect([trials.slot, trials.muted, trials.state?.phase]).toEqual([null, false, 'ready']);
    expect(told.slice(-6)).toEqual(['start in 600 ms', 'hear x', 'mute', 'unmute', 'hear second', 'stop']);
  });

  it('without catch sounds that are plain has no catch trials', async () => {
    const rig = trialRig({ canCatch: false });
    await rig.trials.prepare(abx());
    await answerAll(rig, right);
    expect(rig.trials.outcome?.record.trials.filter(({ role }) => role === 'catch')).toEqual([]);
  });
});

describe('blindness', () => {
  const document = smallSession();

  /** Everything public before and after every step of a run in which all answers are right, and what was played. */
  async function watched(seed: number) {
    const rig = trialRig({ seed, document });
    const { trials } = rig;
    const seen: unknown[] = [];
    const look = () => seen.push(structuredClone(publicState(trials)));
    trials.subscribe(look);
    await trials.prepare(abx());
    while (trials.state && trials.state.phase !== 'complete') {
      await trials.next();
      trials.hear('second');
      trials.hear('x');
      look();
      const isLast = trials.state?.trial === trials.state?.of;
      if (isLast) break;
      trials.answer(right(rig.pairs[rig.pairs.length - 1] as Played));
      look();
    }
    return { seen, told: rig.told, waits: rig.waits, played: rig.pairs };
  }

  it('shows the same, asks the player the same and takes the same time, whatever is in which slot', async () => {
    const runs = await Promise.all([1, 2, 3, 4, 5, 6].map(watched));
    const [first] = runs;
    for (const run of runs.slice(1)) {
      expect(run.seen).toEqual(first!.seen);
      expect(run.told).toEqual(first!.told);
      expect(run.waits).toEqual(first!.waits);
    }
    expect(new Set(first!.waits)).toEqual(new Set([600]));
    // While what was heard differed.
    expect(new Set(runs.map(({ played }) => JSON.stringify(played))).size).toBe(6);
    expect(first!.seen.length).toBeGreaterThan(40);
  });

  it('would be found out by the same look if a side stood in public', async () => {
    const leaky = (seed: number) => Object.assign(trialRig({ seed, document }).trials, { slots: [seed] });
    expect(publicState(leaky(1))).not.toEqual(publicState(leaky(2)));
    expect(
      publicState({
        get a() {
          return { b: [1] };
        },
      }),
    ).toEqual({ a: { b: { '0': 1, length: 1 } } });
  });

  it('tells nothing more to whoever rendered the sounds', async () => {
    const rig = trialRig();
    await rig.trials.prepare(abx());
    await answerAll(rig, right);
    expect(rig.requests).toHaveLength(1);
  });
});

describe('interruptions', () => {
  it.each([
    ['tab-hidden', /out of sight/],
    ['device-changed', /audio device came or went/],
    ['sound-interrupted', /sound was interrupted/],
  ] as const)('%s: the pair is out, another one takes its place', async (reason, remark) => {
    const rig = trialRig();
    const { trials, told } = rig;
    await trials.prepare(abx());
    await trials.next();
    rig.interrupt(reason);
    expect([trials.held, trials.slot, trials.state?.phase]).toEqual([true, null, 'ready']);
    expect(trials.remark).toMatch(remark);
    expect(trials.state).toMatchObject({ trial: 1, discarded: 1, lastDiscard: reason });
    expect(told.at(-1)).toBe('stop');
    trials.answer('first');
    expect(trials.state?.trial).toBe(1);
    await trials.next();
    expect([trials.held, trials.remark, trials.slot]).toEqual([false, null, 'first']);
    trials.answer('first');
    await answerAll(rig, right);
    expect(trials.outcome?.analysis).toMatchObject({ counted: 8, discardReasons: { [reason]: 1 } });
  });

  it('of a pair that is being started leave it silent', async () => {
    const rig = trialRig();
    const { trials } = rig;
    await trials.prepare(abx());
    const starting = trials.next();
    await Promise.resolve();
    await Promise.resolve();
    rig.interrupt('tab-hidden');
    await starting;
    expect([trials.slot, trials.held]).toEqual([null, true]);
  });

  it('a device that does not open is told, and the same pair is tried again', async () => {
    let fault: string | null = 'The audio device is gone. Connect it.';
    const rig = trialRig({ deviceFault: () => fault });
    await rig.trials.prepare(abx());
    await rig.trials.next();
    expect([rig.trials.remark, rig.trials.held, rig.trials.slot, rig.trials.state?.trial]).toEqual([
      fault,
      true,
      null,
      1,
    ]);
    fault = null;
    await rig.trials.next();
    expect([rig.trials.remark, rig.trials.held, rig.trials.slot]).toEqual([null, false, 'first']);
  });
});

describe('what does not come to a start', () => {
  it('says why and goes back to the setup', async () => {
    const { trials, history } = trialRig({
      render: async () => {
        throw new TrialError('There is no sound in this loop.');
      },
    });
    const before = history.document;
    await trials.prepare(abx());
    expect([trials.phase, trials.refusal]).toEqual(['setup', 'There is no sound in this loop.']);
    expect(history.document).toBe(before);
    trials.open();
    expect(trials.refusal).toBeNull();
  });

  it('is refused before anything is rendered where it can not be asked', async () => {
    const { trials, requests } = trialRig();
    await trials.prepare(abx(3));
    expect(trials.phase).toBe('setup');
    expect(trials.refusal).not.toBeNull();
    await trials.prepare({
      ...abx(),
      sounds: [
        { what: 'setting', setting: 'clean' },
        { what: 'setting', setting: 'gone' },
      ],
    } as never);
    expect(trials.refusal).toMatch(/not in the session any more/);
    expect(requests).toEqual([]);
  });

  it.each([0, 5.25])('is refused where the session has %s seconds', async (durationSeconds) => {
    const { trials, requests } = trialRig({ durationSeconds });
    await trials.prepare(abx());
    expect([trials.phase, requests]).toEqual(['setup', []]);
    expect(trials.refusal).toMatch(/repeats 8 to 15 seconds of sound; this session has \d\.\d\. Add longer recordings/);
  });

  it('is given up by cancel, and comes to nothing later', async () => {
    let answer: () => void = () => undefined;
    let signal: AbortSignal | null = null;
    const { trials } = trialRig({
      render: (_, __, given) => {
        signal = given;
        return new Promise((_resolve, reject) => {
          answer = () => reject(new Error('late'));
        });
      },
    });
    const preparing = trials.prepare(abx());
    expect(trials.phase).toBe('preparing');
    trials.cancel();
    expect([trials.phase, signal!.aborted]).toEqual(['setup', true]);
    answer();
    await preparing;
    expect([trials.phase, trials.refusal, trials.state]).toEqual(['setup', null, null]);
  });
});

describe('an end before the end', () => {
  it('keeps what was answered, and draws no conclusion from it', async () => {
    const rig = trialRig();
    await rig.trials.prepare(abx(16));
    await answerAll(rig, right, 5);
    await rig.trials.next();
    rig.trials.stop();
    expect(rig.trials.phase).toBe('done');
    expect(rig.trials.outcome?.analysis.result).toMatchObject({ verdict: 'incomplete' });
    expect(rig.history.document.trials).toHaveLength(1);
  });

  it('by closing keeps it too, and gives the device back', async () => {
    const rig = trialRig();
    await rig.trials.prepare(abx(16));
    await answerAll(rig, right, 5);
    rig.trials.close();
    expect([rig.trials.phase, rig.trials.outcome]).toEqual(['closed', null]);
    expect(rig.history.document.trials).toHaveLength(1);
    expect(rig.told.at(-1)).toBe('close');
  });

  it('without an answer keeps nothing', async () => {
    const rig = trialRig();
    await rig.trials.prepare(abx());
    await rig.trials.next();
    rig.trials.stop();
    expect([rig.trials.phase, rig.history.document.trials]).toEqual(['setup', []]);
  });

  it('says so where the session has no room, and shows the outcome all the same', async () => {
    const rig = trialRig();
    await rig.trials.prepare(abx());
    rig.history.adopt((draft) => {
      for (let i = 0; i < 200; i++) {
        draft.trials.push({ id: `full-${i}`, record: { format: 'level-best-trials', version: 1 } });
      }
    });
    await answerAll(rig, right);
    expect(rig.said).toEqual([expect.stringMatching(/no room for another blind trial\. Save this one/)]);
    expect(rig.trials.outcome?.sentence).toMatch(/^Heard/);
    // None of those can be read, so none is listed; nothing fails.
    expect(rig.trials.earlier).toEqual([]);
  });
});

describe('trials that the session keeps', () => {
  async function twoKept(): Promise<Rig> {
    const rig = trialRig();
    for (const count of [8, 10]) {
      rig.trials.open();
      await rig.trials.prepare(abx(count));
      await answerAll(rig, right);
    }
    return rig;
  }

  it('are listed newest first and can be shown again', async () => {
    const { trials } = await twoKept();
    expect(trials.earlier.map(({ analysis }) => analysis.counted)).toEqual([10, 8]);
    trials.open();
    expect(trials.outcome).toBeNull();
    trials.show(trials.earlier[1]!);
    expect([trials.phase, trials.outcome?.analysis.counted]).toEqual(['done', 8]);
  });

  it('can be taken out one by one, and undo brings them back', async () => {
    const { trials, history } = await twoKept();
    const counted = () => trials.earlier.map(({ analysis }) => analysis.counted);
    trials.remove(trials.earlier[1]!);
    expect(counted()).toEqual([10]);
    history.undo();
    expect(counted()).toEqual([10, 8]);
    trials.remove({ ...trials.earlier[0]! });
    expect(counted(), 'what is not one of them stays').toEqual([10, 8]);
  });
});

describe('a trial that is taken out of the session', () => {
  it('is gone from the list, and comes back by undo', async () => {
    const rig = trialRig();
    const { trials, history } = rig;
    for (const count of [8, 10]) {
      trials.open();
      await trials.prepare(abx(count));
      await answerAll(rig, right);
    }
    trials.open();
    trials.remove(trials.earlier[1]!);
    expect(trials.earlier.map(({ analysis }) => analysis.counted)).toEqual([10]);
    history.undo();
    expect(trials.earlier.map(({ analysis }) => analysis.counted)).toEqual([10, 8]);
    const foreign = trialRig();
    await foreign.trials.prepare(abx());
    await answerAll(foreign, right);
    trials.remove(foreign.trials.outcome!);
    expect(trials.earlier).toHaveLength(2);
  });
});

describe('the same pair', () => {
  it('never sounds the same by chance: identical pairs are catch trials', async () => {
    const rig = trialRig({ seed: 9 });
    await rig.trials.prepare(abx(24));
    await answerAll(rig, right);
    const { trials } = rig.trials.outcome!.record;
    for (const [i, { first, second }] of rig.pairs.entries()) {
      expect(same(first, second)).toBe(trials[i]?.catchKind === 'identical');
    }
  });
});
