/** Commands against the document's own schema: whatever comes, the session can be saved and opened again. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Command } from '../../src/session/commands.ts';
import { applyCommand } from '../../src/session/commands.ts';
import { findRack, parseSession, rackIds } from '../../src/session/document.ts';
import { anyCommand, changedBy, richSession, someChannel, someSession, someStage } from './any-command.ts';

describe('any sequence of commands', () => {
  it('leaves a document that is stored and opened again unchanged', () => {
    fc.assert(
      fc.property(fc.array(anyCommand, { maxLength: 40 }), (commands) => {
        const document = structuredClone(richSession());
        for (const command of commands) applyCommand(document, command);
        expect(parseSession(JSON.parse(JSON.stringify(document)))).toEqual(document);
      }),
      { numRuns: 300 },
    );
  });

  it('never touches racks that a command does not name', () => {
    fc.assert(
      fc.property(anyCommand, (command) => {
        if (!('rackId' in command)) return;
        const before = someSession();
        const changed = changedBy(command);
        for (const id of rackIds(before)) {
          if (id !== command.rackId) expect(findRack(changed, id)).toEqual(findRack(before, id));
        }
      }),
    );
  });
});

describe('commands that name nothing', () => {
  it.each<Command>([
    { type: 'set-parameter', rackId: 'melodica', stageId: 'nothing', parameterId: 'drive', value: 3 },
    { type: 'set-parameter', rackId: 'nobody', stageId: 'm1', parameterId: 'drive', value: 3 },
    { type: 'remove-stage', rackId: 'melodica', stageId: 'nothing' },
    { type: 'move-stage', rackId: 'melodica', stageId: 'nothing', index: 0 },
    { type: 'set-channel', channelId: 'nobody', gainDb: 3 },
    { type: 'set-channel', channelId: 'shaker', busId: 'nowhere' },
    { type: 'remove-channel', channelId: 'nobody' },
    { type: 'remove-bus', busId: 'nowhere' },
    { type: 'set-loop', region: { startSeconds: 4, endSeconds: 2 } },
  ])('$type changes nothing', (command) => {
    expect(changedBy(command)).toEqual(someSession());
  });
});

describe('single commands', () => {
  it('adds a stage where it is told, at most eight, and no id twice', () => {
    const add = (id: string, index: number): Command => ({
      type: 'add-stage',
      rackId: 'melodica',
      stage: someStage(id),
      index,
    });
    const ids = (...commands: Command[]) => findRack(changedBy(...commands), 'melodica')?.stages.map(({ id }) => id);
    expect(ids(add('s1', 1))).toEqual(['m1', 's1', 'm2']);
    expect(ids(add('s1', 99))).toEqual(['m1', 'm2', 's1']);
    expect(ids(add('s1', -1))).toEqual(['s1', 'm1', 'm2']);
    expect(ids(add('m1', 0))).toEqual(['m1', 'm2']);
    const many = Array.from({ length: 9 }, (_, i) => add(`s${i}`, 0));
    expect(ids(...many)).toHaveLength(8);
  });

  it('moves a stage to its new place', () => {
    const moved = changedBy({ type: 'move-stage', rackId: 'melodica', stageId: 'm1', index: 1 });
    expect(findRack(moved, 'melodica')?.stages.map(({ id }) => id)).toEqual(['m2', 'm1']);
  });

  it('takes numbers to the end of their range, and leaves alone what is no number', () => {
    const trim = (trimDb: number) => changedBy({ type: 'set-match-trim', rackId: 'mix', trimDb }).mix.rack.matchTrimDb;
    expect(trim(0.35)).toBe(0.35);
    expect(trim(40)).toBe(12);
    expect(trim(Number.NaN)).toBe(0);
    const [channel] = changedBy({ type: 'set-channel', channelId: 'melodica', gainDb: -500, pan: 101 }).channels;
    expect([channel.gainDb, channel.pan]).toEqual([-120, 100]);
  });

  it('sends the channels of a removed bus to the mix', () => {
    const { buses, channels } = changedBy({ type: 'remove-bus', busId: 'reeds' });
    expect(buses).toEqual([]);
    expect(channels.map(({ busId }) => busId)).toEqual([null, null, null]);
  });

  it('adds no channel under an id that is taken, and none into a bus that is not there', () => {
    expect(changedBy({ type: 'add-channel', channel: someChannel('reeds') }).channels).toHaveLength(3);
    expect(changedBy({ type: 'add-channel', channel: someChannel('mix') }).channels).toHaveLength(3);
    expect(
      changedBy({ type: 'add-channel', channel: someChannel('tuba', 'nowhere') }).channels.at(-1)?.busId,
    ).toBeNull();
  });
});
