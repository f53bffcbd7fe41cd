/** Undo and redo: any way back and forth ends at the documents that were there. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Command } from '../../src/session/commands.ts';
import { parseSession } from '../../src/session/document.ts';
import { driveOf as driveOfStage } from '../../src/session/drive.ts';
import { History } from '../../src/session/history.ts';
import { anyCommand, anyOf, COMMAND_TYPES, richSession, someSession } from './any-command.ts';

const drive = (value: number): Command => ({
  type: 'set-parameter',
  rackId: 'melodica',
  stageId: 'm1',
  parameterId: 'drive',
  value,
});
const driveOf = (history: History) => history.document.channels[0].rack.stages[0].params.drive;

describe('undo of every command', () => {
  it.each(COMMAND_TYPES)('%s: the document is restored exactly, and given again', (type) => {
    let changes = 0;
    fc.assert(
      fc.property(anyOf(type), (command) => {
        const history = new History(richSession());
        const before = history.document;
        const copy = structuredClone(before);
        if (!history.dispatch(command, 0)) {
          expect(history.document).toBe(before);
          return;
        }
        changes++;
        const after = structuredClone(history.document);
        expect(after).not.toStrictEqual(copy);
        expect(parseSession(JSON.parse(JSON.stringify(after)))).toEqual(after);
        history.undo();
        expect(history.document).toStrictEqual(copy);
        history.redo();
        expect(history.document).toStrictEqual(after);
      }),
      { numRuns: 120, seed: 20 },
    );
    // A kind that never finds anything to do would be tested by nothing.
    expect(changes).toBeGreaterThan(2);
  });
});

describe('History', () => {
  it('goes back to each earlier document and forth to each later one', () => {
    fc.assert(
      fc.property(fc.array(anyCommand, { maxLength: 25 }), (commands) => {
        const history = new History(richSession());
        const documents = [history.document];
        commands.forEach((command, i) => {
          // Far enough apart in time never to be one move.
          if (history.dispatch(command, i * 10_000)) documents.push(history.document);
        });
        for (let i = documents.length - 1; i > 0; i--) {
          expect(history.document).toEqual(documents[i]);
          expect(history.undo()).toBe(true);
        }
        expect(history.document).toEqual(documents[0]);
        expect(history.undo()).toBe(false);
        for (let i = 1; i < documents.length; i++) {
          expect(history.redo()).toBe(true);
          expect(history.document).toEqual(documents[i]);
        }
        expect(history.canRedo).toBe(false);
      }),
    );
  });

  it('finds its way back to the start and forth to the end whatever was taken as one drag', () => {
    const timed = fc.tuple(anyCommand, fc.constantFrom(1, 100, 5000));
    fc.assert(
      fc.property(fc.array(timed, { maxLength: 25 }), (commands) => {
        const history = new History(richSession());
        const before = history.document;
        let time = 0;
        for (const [command, wait] of commands) history.dispatch(command, (time += wait));
        const after = history.document;
        while (history.undo());
        expect(history.document).toEqual(before);
        while (history.redo());
        expect(history.document).toEqual(after);
      }),
    );
  });

  it('keeps no step for a command that changed nothing', () => {
    const history = new History(someSession());
    const { document } = history;
    expect(history.dispatch({ type: 'remove-stage', rackId: 'melodica', stageId: 'nothing' }, 0)).toBe(false);
    expect(history.dispatch({ type: 'remove-channel', channelId: 'nobody' }, 0)).toBe(false);
    expect(history.dispatch({ type: 'set-match-trim', rackId: 'mix', trimDb: Number.NaN }, 0)).toBe(false);
    expect(history.canUndo).toBe(false);
    expect(history.document).toBe(document);
  });

  it('takes the moves of one drag as one step, and the next drag as another', () => {
    const history = new History(someSession());
    for (let i = 1; i <= 10; i++) history.dispatch(drive(i / 2), 100 * i);
    history.dispatch(drive(7), 10_000);
    history.undo();
    expect(driveOf(history)).toBe(5);
    history.undo();
    expect(driveOf(history)).toBe(0);
    expect(history.canUndo).toBe(false);
    history.redo();
    expect(driveOf(history)).toBe(5);
  });

  it('keeps the last 200 steps and lets the oldest go', () => {
    const history = new History(someSession());
    for (let i = 1; i <= 230; i++) history.dispatch(drive(i / 10), 10_000 * i);
    let steps = 0;
    while (history.undo()) steps++;
    expect(steps).toBe(200);
    expect(driveOf(history)).toBe(3);
  });

  it('takes a compound of commands as one step, in their order', () => {
    const history = new History(someSession());
    const before = history.document;
    history.dispatch(
      {
        type: 'all',
        commands: [
          { type: 'clear-rack', rackId: 'melodica' },
          { type: 'copy-rack', fromRackId: 'reeds', toRackIds: ['melodica'] },
          drive(7),
        ],
      },
      0,
    );
    expect(history.document.channels[0].rack.stages.map(({ kind }) => kind)).toEqual(['diode-pair']);
    history.undo();
    expect(history.document).toEqual(before);
    expect(history.canUndo).toBe(false);
  });

  it('is one way back and one way forth over any drag, whatever it moved on its way', () => {
    // The link's members stop at their ends at different times, so single moves touch different places.
    const members = [
      { rackId: 'melodica', stageId: 'm1' },
      { rackId: 'melodica', stageId: 'm2' },
      { rackId: 'mix', stageId: 'x1' },
    ];
    const ends = fc.double({ min: -30, max: 30, noNaN: true });
    fc.assert(
      fc.property(ends, ends, fc.array(ends, { minLength: 1, maxLength: 12 }), (m2, x1, moves) => {
        const history = new History(someSession());
        history.dispatch({ type: 'link-drives', id: 'l', mode: 'relative', members }, 0);
        const set = (rackId: string, stageId: string, value: number) => ({
          rackId,
          stageId,
          parameterId: 'drive',
          value: value + 0,
        });
        history.dispatch({ type: 'set-many', values: [set('melodica', 'm2', m2), set('mix', 'x1', x1)] }, 1);
        const before = history.document;
        let moved = false;
        moves.forEach((value, i) => {
          moved = history.dispatch(drive(value + 0), 10_000 + 100 * i) || moved;
        });
        const after = history.document;
        // As if the last position had been set at once.
        const atOnce = new History(before);
        atOnce.dispatch(drive((moves.at(-1) as number) + 0), 0);
        expect(after).toEqual(atOnce.document);
        if (history.document !== before && moved) {
          history.undo();
          expect(history.document).toEqual(before);
          history.redo();
          expect(history.document).toEqual(after);
        }
      }),
      { seed: 21 },
    );
  });

  it('brings a linked drive back into its relation when the drag comes back from beyond its end', () => {
    const history = new History(someSession());
    const members = [
      { rackId: 'melodica', stageId: 'm1' },
      { rackId: 'mix', stageId: 'x1' },
    ];
    history.dispatch({ type: 'set-parameter', rackId: 'mix', stageId: 'x1', parameterId: 'drive', value: 20 }, 0);
    history.dispatch({ type: 'link-drives', id: 'l', mode: 'relative', members }, 0);
    const mix = () => driveOfStage(history.document.mix.rack.stages[0]);
    history.dispatch(drive(10), 10_000);
    expect(mix()).toBe(24);
    history.dispatch(drive(1), 10_100);
    expect(mix()).toBe(21);
  });

  it('leaves no step behind a drag that ends where it began', () => {
    const history = new History(someSession());
    history.dispatch(drive(5), 0);
    expect(history.dispatch(drive(0), 100)).toBe(true);
    expect(driveOf(history)).toBe(0);
    expect(history.canUndo).toBe(false);
  });

  it('keeps gains that were computed in the middle of a drag', () => {
    const history = new History(someSession());
    history.dispatch(drive(5), 0);
    history.adopt((draft) => {
      draft.channels[0].rack.matchGainDb = -1.5;
    });
    history.dispatch(drive(6), 100);
    expect(history.document.channels[0].rack.matchGainDb).toBe(-1.5);
    history.undo();
    expect([driveOf(history), history.document.channels[0].rack.matchGainDb]).toEqual([0, -1.5]);
  });

  it('leaves computed gains alone on the way back', () => {
    const history = new History(someSession());
    history.dispatch(drive(6), 0);
    history.adopt((draft) => {
      draft.channels[0].rack.matchGainDb = -2.5;
    });
    history.undo();
    expect(driveOf(history)).toBe(0);
    expect(history.document.channels[0].rack.matchGainDb).toBe(-2.5);
  });

  it('never changes a document that it has handed out', () => {
    const history = new History(someSession());
    const before = history.document;
    const copy = structuredClone(before);
    history.dispatch(drive(9), 0);
    history.undo();
    expect(before).toEqual(copy);
  });

  it('names each step, by what the last move of a drag did', () => {
    const history = new History(someSession());
    history.dispatch(drive(3), 0, 'drive of Melodica stage 1');
    history.dispatch(drive(4), 100, 'drive of Melodica stage 1');
    history.dispatch({ type: 'set-matching', on: false }, 200, 'matching off');
    expect([history.undoAbout, history.redoAbout]).toEqual(['matching off', null]);
    history.undo();
    expect([history.undoAbout, history.redoAbout]).toEqual(['drive of Melodica stage 1', 'matching off']);
    history.undo();
    expect(history.undoAbout).toBeNull();
  });

  it('comes back with its steps from what was stored, whatever they were', () => {
    fc.assert(
      fc.property(fc.array(anyCommand, { maxLength: 15 }), fc.nat(5), (commands, back) => {
        const history = new History(richSession());
        commands.forEach((command, i) => {
          history.dispatch(command, i * 10_000);
        });
        for (let i = 0; i < back; i++) history.undo();
        const stored = structuredClone({ document: history.document, steps: history.steps });
        const again = History.restored(stored.document, stored.steps);
        while (history.undo()) expect(again.undo()).toBe(true);
        expect(again.document).toEqual(history.document);
        while (history.redo()) expect(again.redo()).toBe(true);
        expect(again.document).toEqual(history.document);
        expect(again.canRedo).toBe(false);
      }),
      { seed: 23 },
    );
  });
});
