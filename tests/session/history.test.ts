/** Undo and redo: any way back and forth ends at the documents that were there. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Command } from '../../src/session/commands.ts';
import { History } from '../../src/session/history.ts';
import { anyCommand, someSession } from './any-command.ts';

const drive = (value: number): Command => ({
  type: 'set-parameter',
  rackId: 'melodica',
  stageId: 'm1',
  parameterId: 'drive',
  value,
});
const driveOf = (history: History) => history.document.channels[0].rack.stages[0].params.drive;

describe('History', () => {
  it('goes back to each earlier document and forth to each later one', () => {
    fc.assert(
      fc.property(fc.array(anyCommand, { maxLength: 25 }), (commands) => {
        const history = new History(someSession());
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
});
