import { expect } from '@open-wc/testing';
import { noteOf, noteText } from './note.ts';

describe('note names', () => {
  it('finds the note and the cents from it, A4 at 440 Hz', () => {
    expect(noteOf(440)).to.deep.equal({ name: 'A4', cents: 0 });
    expect(noteOf(261.6256)).to.deep.equal({ name: 'C4', cents: 0 });
    expect(noteOf(27.5)).to.deep.equal({ name: 'A0', cents: 0 });
    // 997 Hz is 16.2 cents above B5 (987.767 Hz).
    expect(noteOf(997)).to.deep.equal({ name: 'B5', cents: 16 });
    expect(noteOf(440 * 2 ** (-30 / 1200))).to.deep.equal({ name: 'A4', cents: -30 });
  });

  it('prints sharps, a true minus and nothing below C0', () => {
    expect(noteText(277.18)).to.equal('C♯4');
    expect(noteText(430)).to.equal('A4 −40 ct');
    expect(noteText(15)).to.equal('');
    for (const nothing of [0, -3, Number.NaN, Number.POSITIVE_INFINITY]) expect(noteOf(nothing)).to.equal(null);
  });
});
