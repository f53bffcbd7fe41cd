/** What blind trials find and what the session does with it; what they can turn; what is said before they start. */
import { describe, expect, it } from 'vitest';
import type { SessionDocument } from '../../src/session/document.ts';
import { findRack } from '../../src/session/document.ts';
import type { TrialQuestion } from '../../src/stores/trial-store.ts';
import { controlChoices, soundChoices } from '../../src/workbench/trials/choices.ts';
import { expectationOf } from '../../src/workbench/trials/expectation.ts';
import { amountRacks, soundRacks } from '../../src/workbench/trials/settings.ts';
import { loopWithin, usualLoop } from '../../src/workbench/trials/trial-loop.ts';
import { smallSession } from '../measure/sessions.ts';
import type { Heard, Played, Rig } from './trial-rig.ts';
import { abx, answerAll, trialRig } from './trial-rig.ts';

const driveOf = (document: SessionDocument, rackId: string, index = 0) =>
  findRack(document, rackId)?.stages[index]?.params.drive;

/** Amount of a heard sound of a search; clean counts as far below. */
const amountOf = ({ id }: Heard) => (id === 'clean' ? -40 : Number(id.replace('amount ', '')));

/** Chooses what lies nearest to an amount. */
const likes = (db: number) => (played: Played) =>
  Math.abs(amountOf(played.first) - db) <= Math.abs(amountOf(played.second) - db) ? 'first' : 'second';

function searchOf(rig: Rig, id: string, more: { min?: number; max?: number } = {}): TrialQuestion {
  const control = rig.trials.controls.find((one) => one.id === id)!;
  const { min, max } = { ...control, ...more };
  return { kind: 'drive-search', control: control.value, min, max, trials: 32 };
}

function stageControl(document: SessionDocument, rackId: string, index = 0): string {
  return `stage ${rackId} ${findRack(document, rackId)?.stages[index]?.id}`;
}

describe('a drive search', () => {
  it('renders clean and 25 amounts of the one stage, and moves nothing while it runs', async () => {
    const rig = trialRig();
    const before = rig.history.document;
    await rig.trials.prepare(searchOf(rig, stageControl(before, 'melodica'), { min: -4, max: 8 }));
    const { settings, different } = rig.requests[0]!;
    expect(settings.map(({ id }) => id)).toEqual([
      'clean',
      ...Array.from({ length: 25 }, (_, i) => `amount ${-4 + i / 2}`),
    ]);
    expect(different).toEqual([['clean', 'amount 8']]);
    expect(settings[0]!.racks.melodica?.stages[0]?.on).toBe(false);
    expect(settings.slice(1).map(({ racks }) => racks.melodica?.stages[0]?.params.drive)).toEqual(
      Array.from({ length: 25 }, (_, i) => -4 + i / 2),
    );
    expect(settings.every(({ racks }) => racks.reeds === settings[0]!.racks.reeds)).toBe(true);
    await answerAll(rig, likes(3));
    expect({ ...rig.history.document, trials: [] }).toEqual(before);
  });

  it('finds the amount, sets the drive as one step of undo, and can confirm it', async () => {
    const rig = trialRig();
    const { trials, history } = rig;
    const id = stageControl(history.document, 'melodica');
    await trials.prepare(searchOf(rig, id, { min: -4, max: 8 }));
    await answerAll(rig, likes(3));
    const found = trials.outcome!.analysis.result;
    if (found.kind !== 'drive-search') throw new Error('This is no search.');
    expect(found.verdict).toBe('amount');
    expect(Math.abs(found.preferredDb! - 3)).toBeLessThan(1);
    const db = Math.round(10 * found.preferredDb!) / 10;
    expect(trials.outcome).toMatchObject({
      apply: `Set the drive of Soft clip on melodica to ${db.toFixed(1)} dB`,
      applied: false,
      canConfirm: true,
    });
    trials.apply();
    expect(trials.outcome?.applied).toBe(true);
    expect(driveOf(history.document, 'melodica')).toBe(db);
    trials.apply();
    history.undo();
    expect([driveOf(history.document, 'melodica'), history.canUndo]).toEqual([8, false]);
    history.redo();

    await trials.confirm();
    const { settings, different } = rig.requests[1]!;
    expect(settings.map(({ id: one }) => one)).toEqual(['clean', `amount ${db}`]);
    expect(different).toEqual([['clean', `amount ${db}`]]);
    await answerAll(rig, likes(3));
    expect(trials.outcome?.analysis.result).toMatchObject({ kind: 'confirm', verdict: 'helps' });
    // It is set already, and whoever has confirmed needs no more of it.
    expect(trials.outcome).toMatchObject({ apply: null, canConfirm: false });
    expect(trials.earlier.map(({ record }) => record.plan.kind)).toEqual(['confirm', 'drive-search']);
  });

  it('that likes clean best offers to switch the stage off', async () => {
    const rig = trialRig();
    await rig.trials.prepare(searchOf(rig, stageControl(rig.history.document, 'melodica'), { min: -4, max: 8 }));
    await answerAll(rig, likes(-40));
    expect(rig.trials.outcome).toMatchObject({ apply: 'Switch Soft clip on melodica off', canConfirm: false });
    rig.trials.apply();
    expect(findRack(rig.history.document, 'melodica')?.stages[0]?.on).toBe(false);
  });

  it('without a preference offers nothing', async () => {
    const rig = trialRig();
    await rig.trials.prepare(searchOf(rig, 'all'));
    let turn = 0;
    await answerAll(rig, () => (turn++ % 2 ? 'first' : 'second'));
    const { analysis, apply, canConfirm } = rig.trials.outcome!;
    expect(analysis.result).toMatchObject({ verdict: 'no-preference' });
    expect([apply, canConfirm]).toEqual([null, false]);
  });

  it('of all drives sets them together, or switches every rack off', async () => {
    const rig = trialRig();
    await rig.trials.prepare(searchOf(rig, 'all'));
    await answerAll(rig, likes(-3));
    const { apply } = rig.trials.outcome!;
    expect(apply).toMatch(/^Set all drives to −\d\.\d dB$/);
    rig.trials.apply();
    expect(rig.history.document.allDrivesDb).toBeLessThan(-2);
    expect(driveOf(rig.history.document, 'melodica')).toBe(8);
    const other = trialRig();
    await other.trials.prepare(searchOf(other, 'all'));
    await answerAll(other, likes(-40));
    expect(other.trials.outcome?.apply).toBe('Switch every rack off');
    other.trials.apply();
    expect(
      ['melodica', 'accordion', 'frame drum', 'reeds', 'mix'].map((id) => findRack(other.history.document, id)?.on),
    ).toEqual([false, false, false, false, false]);
    other.history.undo();
    expect(findRack(other.history.document, 'mix')?.on).toBe(true);
  });

  it('of a rack moves all its drives; once that is done, the same amount is not added again', async () => {
    const rig = trialRig();
    const { trials, history } = rig;
    await trials.prepare(searchOf(rig, 'rack frame drum', { min: -4, max: 8 }));
    await answerAll(rig, likes(4));
    expect(trials.outcome?.apply).toMatch(/^Move the drives of frame drum by \+\d\.\d dB$/);
    trials.apply();
    const [first, second] = [
      driveOf(history.document, 'frame drum'),
      driveOf(history.document, 'frame drum', 1),
    ] as number[];
    expect(first! - second!).toBeCloseTo(6, 9);
    expect(second).toBeGreaterThan(3);
    await trials.confirm();
    expect(rig.requests[1]?.settings[1]).toMatchObject({ id: 'amount 0' });
    trials.close();
    trials.open();
    // From another state of the session its amount means another sound.
    trials.show(trials.earlier[0]!);
    expect(trials.outcome).toMatchObject({ apply: null, canConfirm: false });
  });

  it('whose stage has gone since offers nothing any more', async () => {
    const rig = trialRig();
    await rig.trials.prepare(searchOf(rig, stageControl(rig.history.document, 'melodica'), { min: -4, max: 8 }));
    await answerAll(rig, likes(3));
    rig.history.dispatch({ type: 'clear-rack', rackId: 'melodica' }, 0);
    rig.trials.open();
    rig.trials.show(rig.trials.earlier[0]!);
    expect(rig.trials.outcome).toMatchObject({ apply: null, canConfirm: false });
  });
});

describe('preference trials', () => {
  const withScene = (): SessionDocument => {
    const document = smallSession();
    const { channels, buses, mix } = document;
    const racks = Object.fromEntries(
      [...channels, ...buses, { id: 'mix', ...mix }].map(({ id, rack }) => [id, { ...rack, on: id !== 'mix' }]),
    );
    return { ...document, scenes: [{ id: 'warm', name: 'Warm', notes: '', racks, allDrivesDb: 2 }] };
  };
  const prefer = async (wanted: string, sounds: string[]) => {
    const rig = trialRig({ document: withScene() });
    const values = sounds.map((id) => rig.trials.sounds.find((one) => one.id === id)!.value);
    await rig.trials.prepare({ kind: 'preference', sounds: values, rule: { type: 'fixed', trials: 12 } });
    await answerAll(rig, ({ first }) => (first.id === wanted ? 'first' : 'second'));
    return rig;
  };

  it('that choose a scene offer to recall it', async () => {
    const rig = await prefer('scene warm', ['current', 'scene warm']);
    expect(rig.trials.outcome).toMatchObject({
      sentence: expect.stringMatching(/^You prefer Warm/),
      apply: 'Bring back the scene Warm',
    });
    rig.trials.apply();
    expect([rig.history.document.mix.rack.on, rig.history.document.allDrivesDb]).toEqual([false, 2]);
  });

  it('that choose the session as it stands have nothing to do', async () => {
    expect((await prefer('current', ['current', 'scene warm'])).trials.outcome?.apply).toBeNull();
  });

  it('that choose the sound without a rack offer to switch it off', async () => {
    const rig = await prefer('rack reeds clean', ['current', 'rack reeds clean']);
    expect(rig.trials.outcome?.apply).toBe('Switch the rack of Reeds off');
    rig.trials.apply();
    expect(findRack(rig.history.document, 'reeds')?.on).toBe(false);
  });

  it('that choose a stage at another setting offer to set it so', async () => {
    const rig = trialRig({ document: withScene() });
    const [{ rackId, stageId }] = rig.trials.stages;
    const own = { what: 'stage', rackId, stageId, parameterId: 'drive', value: 7.5 } as const;
    const current = { what: 'setting', setting: 'current' } as const;
    await rig.trials.prepare({ kind: 'preference', sounds: [current, own], rule: { type: 'fixed', trials: 12 } });
    await answerAll(rig, ({ first }) => (first.id === 'current' ? 'second' : 'first'));
    expect(rig.trials.outcome?.apply).toMatch(/^Set .*: Drive \+7\.5 dB$/);
    rig.trials.apply();
    expect(findRack(rig.history.document, rackId)?.stages.find(({ id }) => id === stageId)?.params.drive).toBe(7.5);
  });

  it('of several sounds ask for all of them to differ', async () => {
    const rig = await prefer('current', ['clean', 'current', 'scene warm']);
    expect(rig.requests[0]?.different).toHaveLength(3);
    expect(rig.trials.outcome?.analysis.result).toMatchObject({ kind: 'preference', preferred: null });
  });
});

describe('what a session has for trials', () => {
  it('is clean and coloured, its scenes, and what it is without one rack or stage', () => {
    const names = soundChoices(smallSession()).map(({ name }) => name);
    expect(names.slice(0, 3)).toEqual(['Clean', 'Coloured', 'Without the rack of melodica']);
    expect(names).toContain('Without Diode pair on frame drum');
    expect(names).not.toContain('Without Soft clip 1 on melodica');
    const quiet = smallSession();
    for (const strip of [...quiet.channels, ...quiet.buses, quiet.mix]) strip.rack.stages = [];
    expect(soundChoices(quiet).map(({ id }) => id)).toEqual(['clean']);
    expect(controlChoices(quiet)).toEqual([]);
  });

  it('has ids that are its own and short enough for a record, however long those of the session are', () => {
    const document = smallSession();
    document.channels[0]!.id = 'a'.repeat(64);
    document.channels[1]!.id = `${'a'.repeat(63)}b`;
    for (const channel of document.channels)
      for (const stage of channel.rack.stages) stage.id = `${'s'.repeat(60)}${stage.id.slice(-4)}`;
    const ids = [...soundChoices(document), ...controlChoices(document)].map(({ id }) => id);
    expect(Math.max(...ids.map(({ length }) => length))).toBeLessThanOrEqual(64);
    const sounds = soundChoices(document).map(({ id }) => id);
    expect(new Set(sounds).size).toBe(sounds.length);
  });

  it('turns drives as far as all of them go along', () => {
    const document = { ...smallSession(), allDrivesDb: 1 };
    const [all, rack] = controlChoices(document);
    // Drives from 0 (frame drum) to 8 dB (melodica).
    expect(all).toMatchObject({ id: 'all', least: -24, greatest: 16, min: -11, max: 13, nowDb: 1 });
    // Moved by all drives already: 7 and 1 dB.
    expect(rack).toMatchObject({ id: 'rack frame drum', least: -24, greatest: 17, nowDb: 0 });
    for (const { least, min, max, greatest } of controlChoices(document)) {
      expect(least <= min && min + 2 <= max && max <= greatest).toBe(true);
    }
  });

  it('turns what it says it turns', () => {
    const document = smallSession();
    const { id: stageId } = document.channels[0]!.rack.stages[0]!;
    const drives = (racks: ReturnType<typeof soundRacks>) =>
      ['melodica', 'accordion', 'frame drum', 'reeds', 'mix'].map((id) =>
        racks?.[id]?.on ? racks[id].stages.filter(({ on }) => on).map(({ params }) => params.drive) : [],
      );
    expect(drives(soundRacks(document, { what: 'setting', setting: 'current' }))).toEqual([[8], [5], [6, 0], [4], [3]]);
    expect(drives(soundRacks(document, { what: 'setting', setting: 'clean' }))).toEqual([[], [], [], [], []]);
    expect(drives(soundRacks(document, { what: 'rack', rackId: 'reeds', setting: 'clean' }))).toEqual([
      [8],
      [5],
      [6, 0],
      [],
      [3],
    ]);
    expect(drives(soundRacks(document, { what: 'stage-off', rackId: 'melodica', stageId }))).toEqual([
      [],
      [5],
      [6, 0],
      [4],
      [3],
    ]);
    expect(
      drives(soundRacks(document, { what: 'stage', rackId: 'melodica', stageId, parameterId: 'drive', value: -2 })),
    ).toEqual([[-2], [5], [6, 0], [4], [3]]);
    expect(drives(amountRacks(document, { what: 'all' }, 2))).toEqual([[10], [7], [8, 2], [6], [5]]);
    expect(drives(amountRacks(document, { what: 'all' }, null))).toEqual([[], [], [], [], []]);
    expect(drives(amountRacks(document, { what: 'rack', rackId: 'frame drum' }, -3))).toEqual([
      [8],
      [5],
      [3, -3],
      [4],
      [3],
    ]);
    expect(drives(amountRacks(document, { what: 'rack', rackId: 'frame drum' }, null))).toEqual([
      [8],
      [5],
      [],
      [4],
      [3],
    ]);
    expect(soundRacks(document, { what: 'setting', setting: 'gone' })).toBeNull();
    expect(amountRacks(document, { what: 'rack', rackId: 'gone' }, 1)).toBeNull();
    // What is on the switch's sides doesn't matter: a trial is of the session as it stands.
    const scoped = { ...document, scope: { kind: 'only', rackId: 'mix' } } as SessionDocument;
    expect(drives(soundRacks(scoped, { what: 'setting', setting: 'clean' }))).toEqual([[], [], [], [], []]);
  });
});

describe('the loop', () => {
  it("is the session's where that is 8 to 15 s long, else ten seconds from where it starts", () => {
    expect(usualLoop({ startSeconds: 3, endSeconds: 15 }, 24)).toEqual({ startSeconds: 3, endSeconds: 15 });
    expect(usualLoop({ startSeconds: 20, endSeconds: 22 }, 24)).toEqual({ startSeconds: 14, endSeconds: 24 });
    expect(usualLoop(null, 24)).toEqual({ startSeconds: 0, endSeconds: 10 });
    expect(usualLoop(null, 5)).toEqual({ startSeconds: 0, endSeconds: 5 });
  });

  it('stays within the session and between 8 and 15 s', () => {
    expect(loopWithin(-3, 4, 24)).toEqual({ startSeconds: 0, endSeconds: 8 });
    expect(loopWithin(20, 30, 24)).toEqual({ startSeconds: 9, endSeconds: 24 });
    expect(loopWithin(Number.NaN, Number.NaN, 24)).toEqual({ startSeconds: 0, endSeconds: 10 });
    const { trials } = trialRig();
    trials.setLoop(6, 12);
    expect(trials.loop).toEqual({ startSeconds: 6, endSeconds: 18 });
  });
});

describe('what is said before the start', () => {
  it('has the numbers of the exact binomial', () => {
    // 12 of 16: P(K ≥ 12 | ½) = 0.0384. P(K ≥ 12 | 0.7) = 0.4499 and P(K ≥ 12 | 0.8) = 0.7982 by R's pbinom.
    const said = expectationOf(abx(16)).join(' ');
    expect(said).toContain('at least 12 of 16');
    expect(said).toContain('in 70 % of trials passes with a chance of 45 %, in 80 % with 80 %');
    // 12 of 16 for one side: two-sided p = 0.0768, so it takes 13 (0.0213). P(K ≥ 13 | 0.8) = 0.5981.
    const liking = expectationOf({
      kind: 'preference',
      sounds: abx().sounds,
      rule: { type: 'fixed', trials: 16 },
    }).join(' ');
    expect(liking).toContain('at least 13 of 16');
    expect(liking).toContain('in 80 % with 60 %');
  });

  it('is whole sentences for every question, and tells what is too little', () => {
    const { sounds } = abx();
    const control = { what: 'all' } as const;
    const questions: TrialQuestion[] = [
      abx(16),
      { ...abx(), rule: { type: 'any-time', cap: 60 } } as TrialQuestion,
      { kind: 'preference', sounds, rule: { type: 'any-time', cap: 60 } },
      { kind: 'preference', sounds: [...sounds, ...sounds], rule: { type: 'fixed', trials: 24 } },
      { kind: 'drive-search', control, min: 0, max: 12, trials: 32 },
      { kind: 'confirm', control, amountDb: 3, cap: 60 },
    ];
    for (const question of questions) {
      const said = expectationOf(question);
      expect(said.length).toBeGreaterThanOrEqual(3);
      for (const sentence of said) expect(sentence).toMatch(/^[A-Z0-9].*\.$/);
      expect(said.join(' ')).not.toMatch(/NaN|undefined|Infinity|null/);
    }
    expect(
      expectationOf({ kind: 'preference', sounds: [...sounds, ...sounds], rule: { type: 'fixed', trials: 12 } })[1],
    ).toMatch(/Choose at least 24 trials/);
  });
});
