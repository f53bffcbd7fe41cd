import { describe, expect, it } from 'vitest';
import { sourceName, toldApart } from '../../src/export/print-names.ts';

describe('the name of a source', () => {
  it.each([
    ['01 Kick (in) #2 & snare.wav', '01 Kick (in) #2 & snare'],
    ['stems\\day 1\\Bass.DI.flac', 'Bass.DI'],
    ['Überblick.aiff', 'Überblick'],
    ['no ending', 'no ending'],
    ['vs. 2', 'vs. 2'],
    ['a:b*c?.wav', 'a b c'],
    ['con.wav', 'file con'],
    ['..wav', 'file'],
    ['', 'file'],
  ])('of %j is %j', (file, name) => {
    expect(sourceName(file)).toBe(name);
  });

  it('is cut where a file system would refuse its length', () => {
    expect(new TextEncoder().encode(sourceName(`${'ä'.repeat(300)}.wav`)).length).toBeLessThanOrEqual(200);
  });
});

describe('names that are alike', () => {
  it('get numbers in their order, and leave those that others have', () => {
    expect(toldApart(['a', 'A', 'a 2', 'b', 'a'])).toEqual(['a', 'A 3', 'a 2', 'b', 'a 4']);
    expect(toldApart(['e\u0301', '\u00e9'])).toEqual(['e\u0301', '\u00e9 2']);
  });
});
