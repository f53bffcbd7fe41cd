/** A rack by itself: what a file of one holds, and what is said of one that doesn't. */
import { describe, expect, it } from 'vitest';
import { SessionError, VERSION } from '../../src/session/document.ts';
import { isRackFile, type NamedRack, parseRack, rackJson } from '../../src/session/rack-file.ts';

const rack: NamedRack = {
  name: 'Pier, low tide',
  about: 'For reeds that were recorded too near.',
  stages: [{ id: 'one', kind: 'soft-clip', on: true, params: { drive: -3, curve: 'tanh' }, notes: 'mild' }],
};
const file = () => JSON.parse(rackJson(rack));

describe('a rack file', () => {
  it('comes back as it was', () => {
    expect(isRackFile(file())).toBe(true);
    expect(parseRack(file())).toEqual(rack);
  });

  it('of a version before drives were counted from the shape as set sounds as it did', () => {
    const stages = [{ ...rack.stages[0], params: { ...rack.stages[0].params, curve: 'algebraic', knee: 1, drive: 0 } }];
    const [{ params }] = parseRack({ ...file(), version: 3, stages }).stages;
    expect(params.drive).not.toBe(0);
    expect(params).toMatchObject({ curve: 'algebraic', knee: 1 });
  });

  it.each<[string, unknown, RegExp]>([
    ['nothing', null, /not a rack/],
    ['a session', { format: 'level-best-session', version: VERSION }, /not a rack/],
    ['one without a name', { ...file(), name: '' }, /no name/],
    [
      'one of a later version',
      { ...file(), version: VERSION + 1 },
      /This rack is of version .* newer than this tool reads/,
    ],
    ['one without stages', { ...file(), stages: undefined }, /The rack is damaged at "stages"/],
    [
      'nine stages',
      { ...file(), stages: Array.from({ length: 9 }, (_, i) => ({ ...rack.stages[0], id: `s${i}` })) },
      /at most 8/,
    ],
    ['two stages of one id', { ...file(), stages: [rack.stages[0], rack.stages[0]] }, /same id/],
    ['a drive that is no number', { ...file(), stages: [{ ...rack.stages[0], params: { drive: null } }] }, /damaged/],
  ])('that is %s is refused with a sentence', (_, input, sentence) => {
    expect(() => parseRack(input)).toThrow(SessionError);
    expect(() => parseRack(input)).toThrow(sentence);
  });
});
