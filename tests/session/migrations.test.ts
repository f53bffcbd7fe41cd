/** Documents of every earlier version open in this one, with everything that was in them. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { toNumber } from '../../src/engine/parameters.ts';
import { findStageKind } from '../../src/engine/stages/catalogue.ts';
import { parseSession, SessionError, VERSION } from '../../src/session/document.ts';
import { sideRacks } from '../../src/session/effective.ts';
import { heardChannels } from '../../src/session/hearing.ts';
import { MIGRATIONS, migrated } from '../../src/session/migrations.ts';

/** As version 1 wrote it; never brought up to date by hand. */
const first = () => JSON.parse(readFileSync(new URL('version-1.json', import.meta.url), 'utf8'));

/** As version 2 wrote it. */
const second = () => JSON.parse(readFileSync(new URL('version-2.json', import.meta.url), 'utf8'));

/** True when everything in `part` is in `whole` too, in the same order. */
function contains(whole: unknown, part: unknown): boolean {
  if (typeof part !== 'object' || part === null) return Object.is(whole, part);
  if (typeof whole !== 'object' || whole === null) return false;
  if (Array.isArray(part) && (whole as unknown[]).length !== part.length) return false;
  return Object.entries(part).every(([key, value]) => contains((whole as Record<string, unknown>)[key], value));
}

describe('migrations', () => {
  it('lead from version 1 to this one without a gap', () => {
    expect(MIGRATIONS.map(({ from }) => from)).toEqual(Array.from({ length: VERSION - 1 }, (_, i) => i + 1));
  });

  it('keep everything that a document of version 1 holds', () => {
    const { version, ...rest } = first();
    const opened = parseSession(first());
    expect(opened.version).toBe(VERSION);
    expect(contains(opened, rest)).toBe(true);
  });

  it('sound as before: clean against current, everything heard, no drive moved', () => {
    const opened = parseSession(first());
    expect(sideRacks(opened, 'a').melodica.stages).toEqual([]);
    expect(sideRacks(opened, 'b').melodica.stages.map(({ params }) => params)).toEqual(
      first().channels[0].rack.stages.map(({ params }: { params: unknown }) => params),
    );
    expect(heardChannels(opened)).toEqual({ channels: ['melodica'], buses: ['reeds'], solo: [] });
    expect([opened.soloThroughBuses, opened.scenes, opened.links, opened.notes]).toEqual([false, [], [], '']);
  });

  it('keep everything that a document of version 2 holds', () => {
    // What moves all drives at once has another name since version 5.
    const { version, macroDriveDb, scenes, ...rest } = second();
    expect(version).toBe(2);
    const opened = parseSession(second());
    expect(opened.version).toBe(VERSION);
    expect(contains(opened, rest)).toBe(true);
    expect(opened.allDrivesDb).toBe(macroDriveDb);
    expect(opened.scenes.map(({ allDrivesDb }) => allDrivesDb)).toEqual(
      scenes.map((scene: { macroDriveDb: number }) => scene.macroDriveDb),
    );
    expect(opened.trials).toEqual([]);
  });

  it('let stages of version 4 colour everything, on both channels, as they did', () => {
    const opened = parseSession({ ...second(), version: 4, trials: [] });
    expect(opened.version).toBe(VERSION);
    const [{ kind, params }] = opened.channels[0].rack.stages;
    const values = findStageKind(kind)?.parameters.map((parameter) => toNumber(parameter, params[parameter.id]));
    const at = findStageKind(kind)!.at;
    expect([params.band, params.stereo]).toEqual([undefined, undefined]);
    expect([values?.[at.band], values?.[at.stereo]]).toEqual([0, 0]);
  });

  it('leave what they are given alone', () => {
    const frozen = deepFrozen(first());
    expect(() => migrated(frozen)).not.toThrow();
    expect(frozen).toEqual(first());
  });

  it('are not needed by a document of this version', () => {
    const opened = parseSession(first());
    expect(migrated(opened)).toBe(opened);
    expect(parseSession(opened)).toEqual(opened);
  });

  it.each([
    ['channels', 'none'],
    ['channels', [null, 3, 'melodica']],
    ['buses', { reeds: {} }],
    ['mix', null],
    ['mix', { rack: [] }],
  ])('leave a damaged document to be refused: %s is %j', (key, value) => {
    expect(() => parseSession({ ...first(), [key]: value })).toThrow(SessionError);
    expect(() => parseSession({ ...first(), [key]: value })).toThrow(new RegExp(`damaged at "${key}`));
  });

  it.each([0, -1, 1.5, '1', null])('do nothing for a version %j that never was', (version) => {
    expect(() => parseSession({ ...first(), version })).toThrow(/damaged at "version"/);
  });
});

function deepFrozen<T>(value: T): T {
  if (typeof value === 'object' && value !== null) Object.values(value).forEach(deepFrozen);
  return Object.freeze(value);
}
