/** Blind trials that are kept with the session, beside the user's steps. */
import { describe, expect, it } from 'vitest';
import { parseSession } from '../../src/session/document.ts';
import { History } from '../../src/session/history.ts';
import { keepTrial } from '../../src/session/kept-trials.ts';
import { LIMITS } from '../../src/session/limits.ts';
import { someRecord, someSession } from './any-command.ts';

const idsOf = (history: History) => history.document.trials.map(({ id }) => id);

function keep(history: History, id: string): boolean {
  let kept = false;
  history.adopt((draft) => {
    kept = keepTrial(draft, { id, record: someRecord(id) });
  });
  return kept;
}

describe('blind trials of a session', () => {
  it('are kept without being a step of undo, and come back from JSON', () => {
    const history = new History(someSession());
    expect(keep(history, 'one')).toBe(true);
    expect(history.canUndo).toBe(false);
    const again = parseSession(JSON.parse(JSON.stringify(history.document)));
    expect(again.trials).toEqual([{ id: 'one', record: someRecord('one') }]);
  });

  // Every way of taking one out, hearing another and going back and forth leaves the one that was heard in between.
  it.each([0, 1, 2])('removed at place %i and brought back, they are beside what was heard since', (place) => {
    const history = new History(someSession());
    for (const id of ['a', 'b', 'c']) keep(history, id);
    const removed = idsOf(history)[place];
    history.dispatch({ type: 'remove-trial', trialId: removed }, 0);
    keep(history, 'd');
    history.undo();
    expect(idsOf(history)).toEqual(['a', 'b', 'c', 'd']);
    history.redo();
    expect(idsOf(history)).toEqual(['a', 'b', 'c', 'd'].filter((id) => id !== removed));
    history.undo();
    expect(idsOf(history)).toEqual(['a', 'b', 'c', 'd']);
  });

  it('are not taken in twice, nor without a record, nor beyond their number or length', () => {
    const history = new History(someSession());
    keep(history, 'a');
    expect(keep(history, 'a')).toBe(false);
    const put = (record: object) => {
      let kept = true;
      history.adopt((draft) => {
        kept = keepTrial(draft, { id: `t${draft.trials.length}`, record: record as never });
      });
      return kept;
    };
    expect(put({ format: 'something-else', version: 1 })).toBe(false);
    expect(put({ ...someRecord('long'), notes: 'x'.repeat(LIMITS.trialRecord) })).toBe(false);
    const large = { ...someRecord('large'), notes: 'x'.repeat(LIMITS.trialRecord / 2) };
    while (put(large));
    expect(JSON.stringify(history.document.trials).length).toBeLessThanOrEqual(LIMITS.trialRecords);
    expect(history.document.trials.length).toBe(20);
    while (keep(history, `s${history.document.trials.length}`));
    expect(history.document.trials.length).toBe(LIMITS.trials);
    expect(() => parseSession(history.document)).not.toThrow();
  });
});
