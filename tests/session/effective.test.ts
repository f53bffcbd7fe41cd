/** What stands on the two sides of the switch. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { applyCommand } from '../../src/session/commands.ts';
import type { Rack, SessionDocument } from '../../src/session/document.ts';
import { emptyRack, findRack, parseSession, rackIds } from '../../src/session/document.ts';
import { driveOf } from '../../src/session/drive.ts';
import { isOnASide, sideRacks } from '../../src/session/effective.ts';
import { anyCommand, changedBy, someChannel, someSession } from './any-command.ts';

const racksNow = (document: SessionDocument) =>
  Object.fromEntries(rackIds(document).map((id) => [id, findRack(document, id)]));
const drives = (racks: Record<string, Rack>) =>
  Object.fromEntries(Object.entries(racks).map(([id, { stages }]) => [id, stages.map(driveOf)]));

/** Scene "quiet" has other drives than the racks now, and all drives of its own. */
function withScene(): SessionDocument {
  return changedBy(
    { type: 'set-parameter', rackId: 'mix', stageId: 'x1', parameterId: 'drive', value: -9 },
    { type: 'set-all-drives', db: -2 },
    { type: 'store-scene', id: 'quiet', name: 'Quiet' },
    { type: 'set-all-drives', db: 3 },
    { type: 'set-parameter', rackId: 'mix', stageId: 'x1', parameterId: 'drive', value: 5 },
    { type: 'clear-rack', rackId: 'reeds' },
  );
}

describe('isOnASide', () => {
  it.each([
    ['clean against current', {}, true],
    ['clean against a scene', { b: 'quiet' }, false],
    ['a scene against another', { a: 'quiet', b: 'quiet' }, false],
    ['a scene against current', { a: 'quiet', b: 'current' }, true],
  ] as const)('%s', (_, sides, expected) => {
    const document = withScene();
    applyCommand(document, { type: 'set-sides', ...sides });
    expect(isOnASide(document, 'mix')).toBe(expected);
  });

  it('a rack that came after the scene is heard on its side as it is now', () => {
    const document = withScene();
    applyCommand(document, { type: 'set-sides', b: 'quiet' });
    applyCommand(document, { type: 'add-channel', channel: { ...someChannel('late'), id: 'late' } });
    expect(isOnASide(document, 'late')).toBe(true);
    expect(isOnASide(document, 'melodica')).toBe(false);
  });
});

describe('sideRacks', () => {
  it('is clean against current by default', () => {
    const document = someSession();
    for (const rack of Object.values(sideRacks(document, 'a'))) expect(rack).toEqual(emptyRack());
    expect(sideRacks(document, 'b')).toEqual(racksNow(document));
    expect(Object.keys(sideRacks(document, 'a'))).toEqual(rackIds(document));
  });

  it('moves every drive by all drives, to the end of its range and no further; clean stays clean', () => {
    const document = changedBy(
      { type: 'set-parameter', rackId: 'melodica', stageId: 'm1', parameterId: 'drive', value: 20 },
      { type: 'set-all-drives', db: 6.5 },
    );
    expect(drives(sideRacks(document, 'b'))).toEqual({
      melodica: [24, 6.5],
      accordion: [],
      shaker: [],
      reeds: [6.5],
      mix: [6.5],
    });
    for (const rack of Object.values(sideRacks(document, 'a'))) expect(rack.stages).toEqual([]);
    // The document keeps what was set, so that their way back restores it.
    expect(findRack(document, 'melodica')?.stages.map(driveOf)).toEqual([20, 0]);
  });

  it('changes nothing of a stage but its drive', () => {
    const document = changedBy({ type: 'set-all-drives', db: -4 });
    const [before, after] = [findRack(document, 'melodica'), sideRacks(document, 'b').melodica];
    expect(after).toEqual({
      ...before,
      stages: before?.stages.map((stage) => ({ ...stage, params: { ...stage.params, drive: -4 } })),
    });
  });

  it('takes a scene on either side, with the all drives that was stored in it', () => {
    const a = drives(sideRacks({ ...withScene(), sides: { a: 'quiet', b: 'current' } }, 'a'));
    expect([a.mix, a.reeds, a.melodica]).toEqual([[-11], [-2], [-2, -2]]);
    const b = drives(sideRacks({ ...withScene(), sides: { a: 'quiet', b: 'current' } }, 'b'));
    expect([b.mix, b.reeds, b.melodica]).toEqual([[8], [], [3, 3]]);
    const swapped = { ...withScene(), sides: { a: 'clean', b: 'quiet' } };
    expect(drives(sideRacks(swapped, 'b'))).toEqual(a);
    expect(drives(sideRacks(swapped, 'a')).mix).toEqual([]);
  });

  it('has a rack that came after the scene as it is now', () => {
    const document = withScene();
    applyCommand(document, { type: 'add-channel', channel: someChannel('tuba') });
    applyCommand(document, { type: 'copy-rack', fromRackId: 'melodica', toRackIds: ['tuba'] });
    applyCommand(document, { type: 'set-sides', a: 'quiet' });
    expect(sideRacks(document, 'a').tuba.stages).toHaveLength(2);
  });

  it('compares one rack alone: the others are coloured on both sides', () => {
    const document = changedBy({ type: 'set-scope', scope: { kind: 'only', rackId: 'reeds' } });
    const [a, b] = [sideRacks(document, 'a'), sideRacks(document, 'b')];
    expect(a.reeds).toEqual(emptyRack());
    expect(b.reeds.stages).toHaveLength(1);
    for (const id of ['melodica', 'mix']) expect(a[id]).toEqual(b[id]);
    expect(a.melodica.stages).toHaveLength(2);
  });

  it('compares all but one: that one is coloured on both sides', () => {
    const document = changedBy({ type: 'set-scope', scope: { kind: 'all-but', rackId: 'reeds' } });
    const [a, b] = [sideRacks(document, 'a'), sideRacks(document, 'b')];
    expect(a.reeds).toEqual(b.reeds);
    expect(a.reeds.stages).toHaveLength(1);
    expect([a.melodica.stages, a.mix.stages]).toEqual([[], []]);
  });

  it('gives every rack of any session on both sides, valid, and leaves the document alone', () => {
    fc.assert(
      fc.property(fc.array(anyCommand, { maxLength: 30 }), (commands) => {
        const document = changedBy(...commands);
        const before = structuredClone(document);
        for (const side of ['a', 'b'] as const) {
          const racks = sideRacks(document, side);
          expect(Object.keys(racks)).toEqual(expect.arrayContaining(rackIds(document)));
          const put = <T extends { id: string; rack: Rack }>(strip: T): T => ({ ...strip, rack: racks[strip.id] });
          const effective = {
            ...document,
            channels: document.channels.map(put),
            buses: document.buses.map(put),
            mix: { ...document.mix, rack: racks.mix },
            links: [],
          };
          expect(parseSession(JSON.parse(JSON.stringify(effective)))).toEqual(effective);
        }
        expect(document).toEqual(before);
      }),
    );
  });
});
