/**
 * What the screen relies on, asked of both: the stores behind the real screen, and those in memory that the component
 * tests put in their place. What holds for one alone is tested where it is.
 */
import { describe, expect, it } from 'vitest';
import type { Command } from '../../src/session/commands.ts';
import { emptySession, type SessionDocument } from '../../src/session/document.ts';
import type { LiveStore } from '../../src/stores/live-store.ts';
import type { NoticeStore } from '../../src/stores/notice-store.ts';
import type { Observable } from '../../src/stores/observable.ts';
import type { PlayerStore } from '../../src/stores/player-store.ts';
import type { TakeHomeStore } from '../../src/stores/take-home-store.ts';
import type { TrialStore } from '../../src/stores/trial-store.ts';
import { Workbench } from '../../src/workbench/workbench.ts';
import { memoryStores } from '../browser/fixture/stores.ts';
import { smallSession } from '../measure/sessions.ts';
import { trialRig } from '../workbench/trial-rig.ts';
import { stubWorkers } from '../workers/stub-worker.ts';
import { observable, told, workbench } from './contract.ts';

// Workers that never answer: everything asked for here is answered on the page.
stubWorkers();

interface Session extends Observable {
  readonly document: SessionDocument;
  readonly canUndo: boolean;
  readonly canRedo: boolean;
  readonly selectedRack: string;
  dispatch(command: Command): void;
  undo(): void;
  redo(): void;
  selectRack(rackId: string): void;
  addStage(rackId: string, kind: string): string;
  addBus(channelIds: readonly string[]): string | null;
}

describe.each<[string, () => Session]>([
  ['the workbench', workbench],
  ['in memory', () => memoryStores({ ...emptySession(48000), channels: smallSession().channels }).session],
])('the session, %s', (_, make) => {
  const gain = (gainDb: number): Command => ({ type: 'set-channel', channelId: 'melodica', gainDb });
  const pan = (value: number): Command => ({ type: 'set-channel', channelId: 'accordion', pan: value });
  const gainOf = ({ document }: Session) => document.channels[0].gainDb;

  it('tells who listens', () => {
    const session = make();
    let gainDb = 0;
    observable(session, () => session.dispatch(gain(++gainDb)));
  });

  it('makes another document of each command, which can be taken back and done again', () => {
    const session = make();
    const before = session.document;
    const former = gainOf(session);
    expect(told(session, () => session.dispatch(gain(-7)))).toBeGreaterThan(0);
    expect([gainOf(session), session.canUndo, session.canRedo]).toEqual([-7, true, false]);
    expect(before.channels[0].gainDb).toBe(former);
    expect(session.document).not.toBe(before);
    expect(told(session, () => session.undo())).toBeGreaterThan(0);
    expect([gainOf(session), session.canRedo]).toEqual([former, true]);
    expect(told(session, () => session.redo())).toBeGreaterThan(0);
    expect([gainOf(session), session.canRedo]).toEqual([-7, false]);
  });

  it('has no way forth any more once something else was done', () => {
    const session = make();
    session.dispatch(gain(-7));
    session.undo();
    session.dispatch(pan(33));
    expect(session.canRedo).toBe(false);
    expect(told(session, () => session.redo())).toBe(0);
  });

  it('makes no step and says nothing where a command changes nothing', () => {
    const session = make();
    session.dispatch(gain(-7));
    session.undo();
    const { document } = session;
    expect(told(session, () => session.dispatch(gain(gainOf(session))))).toBe(0);
    expect([session.document === document, session.canRedo]).toEqual([true, true]);
  });

  it('adds a stage to a rack, and buses until there is no room', () => {
    const session = make();
    const id = session.addStage('melodica', 'diode-pair');
    expect(session.document.channels[0].rack.stages.at(-1)).toMatchObject({ id, kind: 'diode-pair' });
    const bus = session.addBus(['melodica']);
    expect(session.document.buses.map((one) => one.id)).toEqual([bus]);
    expect(session.document.channels[0].busId).toBe(bus);
    for (let count = 1; count < 8; count++) expect(session.addBus([])).not.toBeNull();
    expect(told(session, () => expect(session.addBus([])).toBeNull())).toBe(0);
    expect(new Set(session.document.buses.map((one) => one.id)).size).toBe(8);
  });

  it('shows another rack, and says so', () => {
    const session = make();
    expect(told(session, () => session.selectRack('accordion'))).toBeGreaterThan(0);
    expect(session.selectedRack).toBe('accordion');
  });
});

describe('the player', () => {
  const players: [string, () => PlayerStore][] = [
    ['the workbench’s', () => workbench().player],
    ['in memory', () => memoryStores().player],
  ];
  it.each(players)('%s: side, panic and monitor level are set at once and told', (_, make) => {
    const player = make();
    observable(player, () => player.setMonitorDb(player.monitorDb - 1));
    expect([player.playing, player.panic, player.guardActing]).toEqual([false, false, false]);
    for (const side of ['clean', 'coloured'] as const) {
      expect(told(player, () => player.setSide(side))).toBeGreaterThan(0);
      expect(player.side).toBe(side);
    }
    for (const panic of [true, false]) {
      expect(told(player, () => player.setPanic(panic))).toBeGreaterThan(0);
      expect(player.panic).toBe(panic);
    }
    for (const [asked, set] of [
      [-30, -30],
      [12, 0],
      [-90, -60],
    ]) {
      expect(told(player, () => player.setMonitorDb(asked))).toBeGreaterThan(0);
      expect(player.monitorDb).toBe(set);
    }
  });
});

describe('the analyser', () => {
  const stores: [string, () => LiveStore][] = [
    ['the workbench’s', () => new Workbench('tests').live],
    ['in memory', () => memoryStores().live],
  ];
  it.each(stores)('%s: starts with the same settings, without a frame, and takes others', (_, make) => {
    const live = make();
    expect(live.latest).toBeNull();
    expect(live.settings).toEqual({
      points: 'auto',
      window: 'blackmanHarris4',
      averageSeconds: 0.4,
      peakHold: false,
      scale: 'peak',
    });
    live.configure({ ...live.settings, peakHold: true });
    expect(live.settings.peakHold).toBe(true);
  });
});

describe('notices', () => {
  const notice = (id: number, text: string) => ({ id, kind: 'info' as const, text });
  const stores: [string, () => NoticeStore][] = [
    [
      'the workbench’s',
      () => {
        const { notices } = new Workbench('tests');
        for (const text of ['One.', 'Two.', 'Three.']) notices.say('info', text);
        return notices;
      },
    ],
    [
      'in memory',
      () => {
        const { notices } = memoryStores();
        notices.set({ notices: [notice(1, 'One.'), notice(2, 'Two.'), notice(3, 'Three.')] });
        return notices;
      },
    ],
  ];
  it.each(stores)('%s: the one that is dismissed goes, the others stay in their order', (_, make) => {
    const store = make();
    const [, { id }] = store.notices;
    expect(told(store, () => store.dismiss(id))).toBeGreaterThan(0);
    expect(store.notices.map(({ text }) => text)).toEqual(['One.', 'Three.']);
    store.dismiss(id);
    expect(store.notices).toHaveLength(2);
    observable(store, () => store.dismiss(-1));
  });
});

describe('taking home', () => {
  const stores: [string, () => TakeHomeStore][] = [
    ['the workbench’s', () => workbench().takeHome],
    ['in memory', () => memoryStores().takeHome],
  ];
  it.each(stores)('%s: starts with the same choices, and expects what is chosen', (_, make) => {
    const store = make();
    observable(store, () => store.choose({}));
    expect(store.settings).toEqual({
      pair: true,
      channels: false,
      buses: false,
      fader: 'before',
      report: true,
      format: 'wav',
      bits: 24,
    });
    expect([store.work, store.ending, store.checked]).toEqual([null, null, null]);
    const names = () => store.expected().files.map(({ name }) => name);
    expect(names()).toEqual(expect.arrayContaining(['clean.wav', 'coloured.wav', 'report.json']));
    expect(told(store, () => store.choose({ pair: false }))).toBeGreaterThan(0);
    expect(names()).not.toContain('clean.wav');
    store.choose({ pair: true, format: 'flac', report: false });
    expect(names()).toEqual(['clean.flac', 'coloured.flac']);
    store.choose({ bits: 'float' });
    // FLAC holds whole numbers only.
    expect(store.settings.format === 'flac' && store.settings.bits === 'float').toBe(false);
    store.cancel();
    expect(store.work).toBeNull();
  });
});

describe('blind trials', () => {
  const stores: [string, () => TrialStore][] = [
    ['the workbench’s', () => trialRig().trials],
    [
      'in memory',
      () => {
        const { trials } = memoryStores();
        trials.open();
        return trials;
      },
    ],
  ];
  it.each(stores)('%s: the sheet opens, takes a loop, can’t be cancelled into another phase, and closes', (_, make) => {
    const store = make();
    expect([store.phase, store.state, store.slot, store.outcome]).toEqual(['setup', null, null, null]);
    observable(store, () => store.setLoop(3, 6));
    store.setLoop(5, 8);
    expect(store.loop).toMatchObject({ startSeconds: 5, endSeconds: 13 });
    expect(told(store, () => store.close())).toBeGreaterThan(0);
    expect(store.phase).toBe('closed');
    store.cancel();
    expect(store.phase).toBe('closed');
    store.open();
    expect(store.phase).toBe('setup');
  });
});
