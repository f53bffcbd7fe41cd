/** What a stored session may be, and what is said of one that can't be used. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { SessionDocument } from '../../src/session/document.ts';
import { emptySession, findRack, parseSession, rackIds, SessionError, VERSION } from '../../src/session/document.ts';
import { someSession, someStage } from './any-command.ts';

const MEMBERS = [
  { rackId: 'melodica', stageId: 'm1' },
  { rackId: 'mix', stageId: 'x1' },
];

/** The session with one place changed. */
function damaged(change: (draft: SessionDocument & Record<string, unknown>) => void): unknown {
  const draft = structuredClone(someSession()) as SessionDocument & Record<string, unknown>;
  change(draft);
  return draft;
}

describe('parseSession', () => {
  it('gives back what was stored', () => {
    expect(parseSession(JSON.parse(JSON.stringify(someSession())))).toEqual(someSession());
    expect(parseSession(emptySession(44100))).toEqual(emptySession(44100));
  });

  it.each<[string, unknown, RegExp]>([
    ['nothing', null, /not a Level Best session\. Open/],
    ['a list', [], /not a Level Best session/],
    ['another format', { format: 'something-else' }, /not a Level Best session/],
    [
      'a newer version',
      damaged((d) => Object.assign(d, { version: VERSION + 1 })),
      /version \d+, newer than this tool reads \(\d+\)\. Update/,
    ],
    ['a version that is no number', damaged((d) => Object.assign(d, { version: 'two' })), /damaged at "version"/],
    [
      'a channel without a name',
      damaged((d) => Object.assign(d.channels[1], { name: 7 })),
      /damaged at "channels\.1\.name".*Mend/,
    ],
    ['a rate that no card has', damaged((d) => Object.assign(d, { sampleRate: 4 })), /damaged at "sampleRate"/],
    [
      'nine stages',
      damaged((d) => Object.assign(d.mix.rack, { stages: Array.from({ length: 9 }, (_, i) => someStage(`s${i}`)) })),
      /at most 8 stages/,
    ],
    [
      'a parameter that is a list',
      damaged((d) => Object.assign(d.channels[0].rack.stages[0].params, { drive: [] })),
      /channels\.0\.rack\.stages\.0\.params\.drive/,
    ],
    [
      'a broken checksum',
      damaged((d) => Object.assign(d.channels[0].audio ?? {}, { sha256: 'XYZ' })),
      /channels\.0\.audio\.sha256/,
    ],
    [
      'a region that ends before it starts',
      damaged((d) => Object.assign(d, { loop: { startSeconds: 3, endSeconds: 2 } })),
      /must end after it starts\. Mend/,
    ],
    [
      'a trim beyond its range',
      damaged((d) => Object.assign(d.mix.rack, { matchTrimDb: 13 })),
      /mix\.rack\.matchTrimDb/,
    ],
    ['two channels of one id', damaged((d) => Object.assign(d.channels[1], { id: 'melodica' })), /same id/],
    ['a bus with a channel’s id', damaged((d) => Object.assign(d.buses[0], { id: 'shaker' })), /same id/],
    ['a channel that calls itself the mix', damaged((d) => Object.assign(d.channels[2], { id: 'mix' })), /same id/],
    [
      'two stages of one id',
      damaged((d) => Object.assign(d.channels[0].rack.stages[1], { id: 'm1' })),
      /Two stages.*same id/,
    ],
    [
      'a lost bus',
      damaged((d) => Object.assign(d.channels[2], { busId: 'drums' })),
      /"Microphone shaker" plays into a bus that isn't in the session\. Correct/,
    ],
    ['a side that is no scene', damaged((d) => Object.assign(d.sides, { a: 'late' })), /compares a scene.*Correct/],
    ['current on the clean side', damaged((d) => Object.assign(d.sides, { a: 'current' })), /compares a scene/],
    [
      'a scope without its rack',
      damaged((d) => Object.assign(d, { scope: { kind: 'only', rackId: 'drums' } })),
      /scope is a rack that isn't in the session\. Correct/,
    ],
    [
      'a link with a stage that is not there',
      damaged((d) =>
        d.links.push({ id: 'l', mode: 'relative', members: [...MEMBERS, { rackId: 'mix', stageId: '?' }] }),
      ),
      /names a stage that isn't in the session\. Take/,
    ],
    [
      'two links with one drive',
      damaged((d) => d.links.push(...['k', 'l'].map((id) => ({ id, mode: 'relative' as const, members: MEMBERS })))),
      /share a drive\. Give/,
    ],
    [
      'a link of one drive',
      damaged((d) => d.links.push({ id: 'l', mode: 'absolute', members: MEMBERS.slice(1) })),
      /at least two drives\. Mend/,
    ],
    [
      'two scenes of one id',
      damaged((d) => d.scenes.push(...[0, 1].map(() => ({ id: 's', name: '', notes: '', racks: {}, allDrivesDb: 0 })))),
      /Two scenes.*same id/,
    ],
    [
      'more channels than there is room for',
      damaged((d) =>
        Object.assign(d, { channels: Array.from({ length: 33 }, (_, i) => ({ ...d.channels[2], id: `c${i}` })) }),
      ),
      /more than 32 channels\. Mend/,
    ],
    [
      'a blind trial without a record of one',
      damaged((d) => d.trials.push({ id: 't', record: { format: 'report', version: 1 } as never })),
      /damaged at "trials\.0\.record\.format"/,
    ],
    [
      'a blind trial beyond any length',
      damaged((d) =>
        d.trials.push({ id: 't', record: { format: 'level-best-trials', version: 1, notes: 'x'.repeat(1_000_000) } }),
      ),
      /record of a blind trial is too long\. Mend/,
    ],
    [
      'two blind trials of one id',
      damaged((d) =>
        d.trials.push(...[0, 1].map(() => ({ id: 't', record: { format: 'level-best-trials' as const, version: 1 } }))),
      ),
      /Two blind trials.*same id/,
    ],
    [
      'a reserved word as an id',
      damaged((d) => Object.assign(d.channels[2], { id: 'constructor' })),
      /reserved\. Mend/,
    ],
  ])('refuses %s with a sentence that says what to do', (_, input, sentence) => {
    expect(() => parseSession(input)).toThrow(SessionError);
    expect(() => parseSession(input)).toThrow(sentence);
    expect(() => parseSession(input)).toThrow(/[.)]$/);
  });

  it('throws nothing but its own sentences, whatever it is given', () => {
    const anything = fc.oneof(
      fc.jsonValue(),
      fc.jsonValue().map((value) => damaged((d) => Object.assign(d, { channels: value }))),
      fc
        .tuple(fc.constantFrom('mix', 'buses', 'loop', 'version', 'name'), fc.jsonValue())
        .map(([key, value]) => damaged((d) => Object.assign(d, { [key]: value }))),
    );
    fc.assert(
      fc.property(anything, (input) => {
        try {
          parseSession(input);
        } catch (error) {
          expect(error).toBeInstanceOf(SessionError);
        }
      }),
      { numRuns: 300 },
    );
  });
});

describe('racks by their ids', () => {
  it('stand in the order of the signal path', () => {
    const session = someSession();
    expect(rackIds(session)).toEqual(['melodica', 'accordion', 'shaker', 'reeds', 'mix']);
    expect(findRack(session, 'reeds')).toBe(session.buses[0].rack);
    expect(findRack(session, 'mix')).toBe(session.mix.rack);
    expect(findRack(session, 'nobody')).toBeUndefined();
  });
});
