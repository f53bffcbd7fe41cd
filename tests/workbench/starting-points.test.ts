/** The list of racks to begin with: what is measured when, what is kept, and what is said of what can't be. */
import { describe, expect, it } from 'vitest';
import type { RackProfile } from '../../src/measure/rack-profile.ts';
import type { Command } from '../../src/session/commands.ts';
import { findRack, VERSION } from '../../src/session/document.ts';
import type { NamedRack } from '../../src/session/rack-file.ts';
import { rackFile, rackJson } from '../../src/session/rack-file.ts';
import { STARTING_POINTS } from '../../src/session/starting-points.ts';
import { Notices } from '../../src/workbench/notices.ts';
import { StartingPoints } from '../../src/workbench/starting-points.ts';
import { someSession } from '../session/any-command.ts';

const PROFILE: RackProfile = { tones: [], addedPercent: 1 };

function rig({ isKept = true, isMeasured = true } = {}) {
  const racks = new Map<string, unknown>();
  const commands: Command[] = [];
  const measured: string[] = [];
  const written: string[] = [];
  const notices = new Notices();
  let ids = 0;
  const points = new StartingPoints(
    {
      document: someSession(),
      dispatch: (command) => commands.push(command),
      profile: async (rackId, stages) => {
        measured.push(`${rackId} ${stages.length}`);
        if (!isMeasured) throw new Error('The worker stopped.');
        return PROFILE;
      },
    },
    {
      isKept,
      newId: () => `own-${++ids}`,
      store: {
        racks: async () => racks,
        saveRack: async (id: string, rack: NamedRack) => void racks.set(id, rackFile(rack)),
        discardRack: async (id: string) => void racks.delete(id),
      },
    },
    { write: async (_content, name, ending, what) => written.push(`${what}: ${name}${ending}`) > 0 },
    notices,
  );
  const said = () => notices.notices.map(({ text }) => text);
  return { points, racks, commands, measured, written, said };
}

const file = (content: string, name = 'rack.json') => new File([content], name);
const own: NamedRack = { name: 'Low tide', about: '', stages: STARTING_POINTS[0].stages };

describe('the list of starting points', () => {
  it('measures each at the rack that was asked for, one after the other', async () => {
    const { points, measured } = rig();
    await points.look('melodica');
    expect(measured).toEqual(STARTING_POINTS.map(({ stages }) => `melodica ${stages.length}`));
    expect(points.points.every(({ profile }) => profile === PROFILE)).toBe(true);
  });

  it('measures no more once it is left, or looked at for another rack', async () => {
    const { points, measured } = rig();
    const first = points.look('melodica');
    const second = points.look('mix');
    points.leave();
    await Promise.all([first, second]);
    expect(measured.length).toBeLessThan(3);
  });

  it('stands without figures where they can’t be had', async () => {
    const { points } = rig({ isMeasured: false });
    await points.look('melodica');
    expect(points.points.map(({ profile }) => profile)).toEqual(STARTING_POINTS.map(() => null));
  });

  it('puts a point on racks by one command', () => {
    const { points, commands } = rig();
    const [{ id, name, stages }] = STARTING_POINTS;
    points.put(id, ['melodica', 'mix']);
    points.put('nobody', ['melodica']);
    expect(commands).toEqual([{ type: 'put-rack', name, stages, rackIds: ['melodica', 'mix'] }]);
  });

  it('keeps a rack of the session, in the order of names after the tool’s own, and gives it up', async () => {
    const { points, written } = rig();
    expect(await points.keep('melodica', '  Pier ')).toBe(true);
    expect(await points.keep('melodica', 'Dunes')).toBe(true);
    expect(points.points.slice(STARTING_POINTS.length).map(({ name, isOwn }) => [name, isOwn])).toEqual([
      ['Dunes', true],
      ['Pier', true],
    ]);
    const pier = points.points.at(-1)!;
    expect(pier.stages).toEqual(findRack(someSession(), 'melodica')?.stages);
    await points.save(pier.id);
    expect(written).toEqual(['The rack: Pier.json']);
    await points.discard(pier.id);
    expect(points.points.map(({ name }) => name)).not.toContain('Pier');
  });

  it('says so where the browser keeps nothing, and has nothing to keep of an empty rack', async () => {
    const { points, said } = rig({ isKept: false });
    expect(await points.keep('melodica', 'Pier')).toBe(false);
    expect(said()[0]).toContain('keeps nothing');
    expect(await rig().points.keep('nobody', 'Pier')).toBe(false);
  });

  it('takes a rack file in and says where it went; other files are not its business', async () => {
    const { points, said } = rig();
    expect(await points.takeFile(file(rackJson(own)))).toBe(true);
    expect(points.points.at(-1)).toMatchObject({ name: 'Low tide', isOwn: true });
    expect(said()[0]).toContain('“Low tide” is among the starting points');
    expect(await points.takeFile(file('{"format":"level-best-session"}'))).toBe(false);
    expect(await points.takeFile(file('PK'))).toBe(false);
    expect(said()).toHaveLength(1);
  });

  it('says what is wrong with a damaged one, and keeps what a newer tool has kept', async () => {
    const { points, racks, said, commands } = rig();
    expect(await points.takeFile(file(JSON.stringify({ ...rackFile(own), stages: [{}] }), 'broken.json'))).toBe(true);
    expect(said()[0]).toMatch(/^broken\.json: The rack is damaged/);
    racks.set('later', { ...rackFile(own), version: VERSION + 1 });
    await points.look('melodica');
    const later = points.points.find(({ id }) => id === 'later')!;
    expect(later).toMatchObject({ name: 'Low tide', stages: [], profile: null });
    expect(later.unreadable).toContain('newer than this tool reads');
    points.put('later', ['melodica']);
    expect(commands).toEqual([]);
    expect(racks.has('later')).toBe(true);
  });
});
