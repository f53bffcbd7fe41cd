/** Scenes, sides, scope, links and the compound commands, one by one. */
import { describe, expect, it } from 'vitest';
import type { Command } from '../../src/session/commands.ts';
import type { Rack, SessionDocument, Stage } from '../../src/session/document.ts';
import { findRack } from '../../src/session/document.ts';
import { driveOf } from '../../src/session/drive.ts';
import { changedBy, richSession, someChannel, someSession } from './any-command.ts';

const drive = (rackId: string, stageId: string, value: number): Command => ({
  type: 'set-parameter',
  rackId,
  stageId,
  parameterId: 'drive',
  value,
});
const drives = (document: SessionDocument, rackId: string) => findRack(document, rackId)?.stages.map(driveOf);
const store: Command = { type: 'store-scene', id: 'quiet', name: '  Quiet  night ', notes: 'With\r\nlamps' };
const members = [
  { rackId: 'melodica', stageId: 'm1' },
  { rackId: 'mix', stageId: 'x1' },
];

describe('scenes', () => {
  it('hold all racks and all drives, apart from what is changed afterwards', () => {
    const document = changedBy(
      drive('mix', 'x1', -3),
      { type: 'set-all-drives', db: 4 },
      store,
      drive('mix', 'x1', 9),
      { type: 'set-all-drives', db: 0 },
    );
    const [scene] = document.scenes;
    expect([scene.name, scene.notes, scene.allDrivesDb]).toEqual(['Quiet night', 'With\nlamps', 4]);
    expect(Object.keys(scene.racks)).toEqual(['melodica', 'accordion', 'shaker', 'reeds', 'mix']);
    expect(scene.racks.mix.stages.map(driveOf)).toEqual([-3]);
    expect(drives(document, 'mix')).toEqual([9]);
  });

  it('come back when they are recalled, and stay as they were stored', () => {
    const recalled = changedBy(
      store,
      { type: 'clear-rack', rackId: 'melodica' },
      { type: 'set-all-drives', db: 3 },
      { type: 'recall-scene', sceneId: 'quiet' },
    );
    const expected = changedBy(store);
    expect(recalled).toEqual(expected);
    const again = changedBy(store, { type: 'recall-scene', sceneId: 'quiet' }, drive('melodica', 'm1', 11));
    expect(again.scenes).toEqual(expected.scenes);
  });

  it('take the racks of now when they are updated', () => {
    const { scenes } = changedBy(store, drive('mix', 'x1', 8), { type: 'update-scene', sceneId: 'quiet' });
    expect(scenes[0].racks.mix.stages.map(driveOf)).toEqual([8]);
    expect(scenes[0].name).toBe('Quiet night');
  });

  it('leave a rack alone that came later, and forget one that went', () => {
    const document = changedBy(
      store,
      { type: 'add-channel', channel: someChannel('tuba') },
      { type: 'copy-rack', fromRackId: 'melodica', toRackIds: ['tuba'] },
      { type: 'remove-channel', channelId: 'shaker' },
      { type: 'recall-scene', sceneId: 'quiet' },
    );
    expect(findRack(document, 'tuba')?.stages).toHaveLength(2);
    expect(Object.keys(document.scenes[0].racks)).toEqual(['melodica', 'accordion', 'reeds', 'mix']);
  });

  it('leave the switch when they are removed', () => {
    const document = changedBy(
      store,
      { type: 'set-sides', a: 'quiet', b: 'quiet' },
      { type: 'remove-scene', sceneId: 'quiet' },
    );
    expect(document.sides).toEqual({ a: 'clean', b: 'current' });
  });

  it.each<Command>([
    { type: 'set-sides', a: 'current' },
    { type: 'set-sides', b: 'clean' },
    { type: 'set-sides', a: 'nowhere', b: 'nowhere' },
    { type: 'set-scope', scope: { kind: 'only', rackId: 'nobody' } },
    { type: 'store-scene', id: 'clean', name: 'A name of a side' },
    { type: 'store-scene', id: '__proto__', name: 'A reserved word' },
    { type: 'recall-scene', sceneId: 'quiet' },
    { type: 'rename-session', name: ' \n ' },
    { type: 'set-all-drives', db: Number.NaN },
  ])('%j changes nothing', (command) => {
    expect(changedBy(command)).toEqual(someSession());
  });

  it('lets the scope go with its rack', () => {
    const scoped: Command = { type: 'set-scope', scope: { kind: 'only', rackId: 'shaker' } };
    expect(changedBy(scoped).scope).toEqual({ kind: 'only', rackId: 'shaker' });
    expect(changedBy(scoped, { type: 'remove-channel', channelId: 'shaker' }).scope).toEqual({ kind: 'all' });
  });
});

describe('linked drives', () => {
  const link = (mode: 'relative' | 'absolute'): Command => ({ type: 'link-drives', id: 'l', mode, members });

  it('move by the same dB when relative, each within its range', () => {
    const before = [drive('mix', 'x1', -5), drive('melodica', 'm1', 3)];
    const document = changedBy(...before, link('relative'), drive('melodica', 'm1', 7));
    expect([drives(document, 'melodica'), drives(document, 'mix')]).toEqual([[7, 0], [-1]]);
    const held = changedBy(drive('mix', 'x1', 20), link('relative'), drive('melodica', 'm1', 7));
    expect(drives(held, 'mix')).toEqual([24]);
    const beyond = changedBy(link('relative'), drive('melodica', 'm1', 300));
    expect([drives(beyond, 'melodica'), drives(beyond, 'mix')]).toEqual([[24, 0], [24]]);
  });

  it('move to the same value when absolute, but not by being linked', () => {
    const linked = changedBy(drive('mix', 'x1', -5), link('absolute'));
    expect(drives(linked, 'mix')).toEqual([-5]);
    const moved = changedBy(drive('mix', 'x1', -5), link('absolute'), drive('melodica', 'm1', 7));
    expect(drives(moved, 'mix')).toEqual([7]);
  });

  it('leave other parameters, computed settings and stages outside the link alone', () => {
    const document = changedBy(
      link('relative'),
      { type: 'set-parameter', rackId: 'melodica', stageId: 'm1', parameterId: 'trimIn', value: 4 },
      { type: 'set-many', values: [{ rackId: 'melodica', stageId: 'm1', parameterId: 'drive', value: 3 }] },
    );
    expect(drives(document, 'mix')).toEqual([0]);
    expect(findRack(document, 'mix')?.stages[0].params.trimIn).toBe(0);
  });

  it('are in one link at most; a link with one drive left is none', () => {
    const second: Command = {
      type: 'link-drives',
      id: 'k',
      mode: 'absolute',
      members: [members[0], { rackId: 'melodica', stageId: 'm2' }],
    };
    expect(changedBy(link('relative'), second).links.map(({ id }) => id)).toEqual(['k']);
    expect(changedBy(link('relative'), { type: 'unlink-drive', ...members[1] }).links).toEqual([]);
    expect(changedBy(link('relative'), { type: 'unlink-drives', linkId: 'l' }).links).toEqual([]);
    expect(changedBy(link('relative'), { type: 'remove-stage', ...members[0] }).links).toEqual([]);
    const alone: Command = { type: 'link-drives', id: 'k', mode: 'absolute', members: [members[0], members[0]] };
    expect(changedBy(alone).links).toEqual([]);
  });

  it('stay linked while a scene still holds the stage', () => {
    const document = changedBy(link('relative'), store, { type: 'clear-rack', rackId: 'mix' });
    expect(document.links).toHaveLength(1);
    expect(changedBy(link('relative'), { type: 'clear-rack', rackId: 'mix' }).links).toEqual([]);
  });
});

describe('racks as a whole', () => {
  it('are copied to many, each with stages of its own ids, to be matched anew', () => {
    const document = changedBy(
      { type: 'set-match-trim', rackId: 'accordion', trimDb: 1 },
      { type: 'set-notes', place: { kind: 'rack', rackId: 'accordion' }, notes: 'Bellows noise' },
      { type: 'copy-rack', fromRackId: 'melodica', toRackIds: ['accordion', 'shaker', 'nobody', 'melodica', 'shaker'] },
    );
    const racks = ['melodica', 'accordion', 'shaker'].map((id) => findRack(document, id) as Rack);
    const ids = racks.flatMap(({ stages }) => stages.map(({ id }) => id));
    expect(new Set(ids).size).toBe(6);
    for (const { stages } of racks) {
      expect(stages.map(({ kind, params }) => ({ kind, params }))).toEqual(
        racks[0].stages.map(({ kind, params }) => ({ kind, params })),
      );
    }
    expect(racks[1]).toMatchObject({ matchGainDb: null, matchTrimDb: 0, notes: 'Bellows noise' });
    expect(racks[0]).toEqual(findRack(someSession(), 'melodica'));
  });

  it('copied stages share nothing with their source', () => {
    const document = changedBy({ type: 'copy-rack', fromRackId: 'melodica', toRackIds: ['shaker'] });
    const copy = findRack(document, 'shaker')?.stages[0].id as string;
    const moved = changedBy(
      { type: 'copy-rack', fromRackId: 'melodica', toRackIds: ['shaker'] },
      drive('shaker', copy, 6),
    );
    expect([drives(moved, 'shaker'), drives(moved, 'melodica')]).toEqual([
      [6, 0],
      [0, 0],
    ]);
  });

  it('are put on many from outside the session, as copies, matched anew; what is no rack changes nothing', () => {
    const stages: Stage[] = [
      { id: 'a', kind: 'triode', on: true, params: { drive: -6 }, notes: '' },
      { id: 'b', kind: 'soft-clip', on: true, params: {}, notes: 'second' },
    ];
    const put = (more: unknown[] = []): Command => ({
      type: 'put-rack',
      name: 'Two in a row',
      stages: [...stages, ...more] as Stage[],
      rackIds: ['accordion', 'mix', 'nobody', 'mix'],
    });
    const document = changedBy({ type: 'set-rack-on', rackId: 'mix', on: false }, put());
    const racks = ['accordion', 'mix'].map((id) => findRack(document, id) as Rack);
    expect(new Set(racks.flatMap((rack) => rack.stages.map(({ id }) => id))).size).toBe(4);
    for (const rack of racks) {
      expect(rack).toMatchObject({ on: true, matchGainDb: null, matchTrimDb: 0 });
      expect(rack.stages.map(({ kind, params, notes }) => ({ kind, params, notes }))).toEqual(
        stages.map(({ kind, params, notes }) => ({ kind, params, notes })),
      );
    }
    expect(racks[0].stages[0].params).not.toBe(stages[0].params);
    expect(changedBy(put([{ id: 'c', kind: 'triode' }]))).toEqual(someSession());
    expect(changedBy(put(Array.from({ length: 7 }, (_, i) => ({ ...stages[0], id: `m${i}` }))))).toEqual(someSession());
  });

  it('are cleared but for their notes', () => {
    const cleared = changedBy({ type: 'clear-rack', rackId: 'melodica' });
    expect(findRack(cleared, 'melodica')?.stages).toEqual([]);
  });
});

describe('channels and buses', () => {
  it('go to their new place and into their new bus', () => {
    const order = (...commands: Command[]) => changedBy(...commands).channels.map(({ id }) => id);
    expect(order({ type: 'move-channel', channelId: 'shaker', index: 0 })).toEqual(['shaker', 'melodica', 'accordion']);
    expect(order({ type: 'move-channel', channelId: 'melodica', index: 99 })).toEqual([
      'accordion',
      'shaker',
      'melodica',
    ]);
    const moved = changedBy({ type: 'move-channel', channelId: 'shaker', index: 1, busId: 'reeds' });
    expect(moved.channels.map(({ id, busId }) => [id, busId])).toEqual([
      ['melodica', 'reeds'],
      ['shaker', 'reeds'],
      ['accordion', 'reeds'],
    ]);
    expect(richSession().buses.map(({ id }) => id)).toEqual(['reeds', 'drums']);
  });

  it('take another sound file with what its source says of its place in time', () => {
    const audio = {
      file: 'melodica take 2.wav',
      sha256: 'b'.repeat(64),
      sampleRate: 96000,
      channelCount: 2,
      frames: 4800,
      bext: { timeReference: 172_800_000, description: 'Second take' },
    };
    const relinked = changedBy({ type: 'relink-audio', channelId: 'melodica', audio });
    expect(relinked.channels[0].audio).toEqual(audio);
    expect(relinked.channels[0].rack).toEqual(someSession().channels[0].rack);
    const wrong = { ...audio, sha256: 'unknown' };
    expect(changedBy({ type: 'relink-audio', channelId: 'melodica', audio: wrong })).toEqual(someSession());
  });

  it('are no more than the engine has room for', () => {
    const many = Array.from(
      { length: 40 },
      (_, i): Command => ({ type: 'add-channel', channel: someChannel(`c${i}`) }),
    );
    expect(changedBy(...many).channels).toHaveLength(32);
  });

  it('have trimmed names of at most 200 characters, never half of one', () => {
    const named = (name: string) => changedBy({ type: 'rename-bus', busId: 'reeds', name }).buses[0].name;
    expect(named('  Reeds,\n  near ')).toBe('Reeds, near');
    expect(named('   ')).toBe('Reeds');
    expect(named('x'.repeat(300))).toHaveLength(200);
    expect(named(`x${'🎻'.repeat(150)}`)).toBe(`x${'🎻'.repeat(99)}`);
  });
});
