/** What adding a stage and setting to alignment do to the document, and what they say. */
import { describe, expect, it } from 'vitest';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import type { StageTrims } from '../../src/measure/alignment.ts';
import type { Amplitudes } from '../../src/measure/amplitudes.ts';
import { amplitudes } from '../../src/measure/amplitudes.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { emptySession, newChannel } from '../../src/session/document.ts';
import { History } from '../../src/session/history.ts';
import { addBus, addStage, addStages, setToAlignment } from '../../src/workbench/making.ts';
import { Notices } from '../../src/workbench/notices.ts';

function rig(programme: Amplitudes | null, trims: Record<string, StageTrims[] | null> = {}, allDrivesDb = 0) {
  const document: SessionDocument = { ...emptySession(48000, 'Rig'), channels: [newChannel('c', 'C')], allDrivesDb };
  const history = new History(document);
  const notices = new Notices();
  let ids = 0;
  const host = {
    notices,
    analysis: { amplitudesAfter: () => programme, alignment: async () => trims },
    get document() {
      return history.document;
    },
    dispatch: (command: Parameters<History['dispatch']>[0]) => {
      history.dispatch(command, 0);
      notices.withdrawUndo();
    },
    undo: () => {
      history.undo();
      notices.withdrawUndo();
    },
    newId: (what: string) => `${what}-${++ids}`,
  };
  const stages = () => history.document.channels[0].rack.stages;
  return { host, notices, stages, canUndo: () => history.canUndo };
}

function loudNoise(level: number): Amplitudes {
  const random = seededRandom(3);
  return amplitudes([Float32Array.from({ length: 48000 }, () => level * gaussian(random))]);
}

describe('adding a stage', () => {
  it('drives it for the programme, says so, and is one step back', () => {
    const { host, notices, stages, canUndo } = rig(loudNoise(0.3));
    addStage(host, 'c', 'soft-clip');
    const drive = Number(stages()[0].params.drive);
    expect(drive).toBeLessThan(-5);
    expect(notices.notices.map(({ text }) => text)).toEqual([
      `Soft clip added at −${Math.abs(drive).toFixed(1)} dB drive: about 1 % added here.`,
    ]);
    notices.notices[0].action?.run();
    expect([stages().length, canUndo(), notices.notices.length]).toEqual([0, false, 0]);
  });

  it('gives one to each of several racks, and a new bus its channels, each as one step back', () => {
    const { host, notices, stages, canUndo } = rig(loudNoise(0.3));
    const ids = addStages(host, ['c', 'mix'], 'soft-clip');
    expect([stages()[0].id, host.document.mix.rack.stages[0].id]).toEqual(ids);
    expect(host.document.mix.rack.stages[0].params.drive).toBe(stages()[0].params.drive);
    expect(notices.notices.map(({ text }) => text)).toEqual([
      'Soft clip added to 2 racks, each driven for its own sound as far as that is known.',
    ]);
    host.undo();
    expect([stages().length, host.document.mix.rack.stages.length, canUndo()]).toEqual([0, 0, false]);
    const bus = addBus(host, ['c']);
    expect(host.document.channels[0].busId).toBe(bus);
    host.undo();
    expect([host.document.buses.length, canUndo()]).toEqual([0, false]);
  });

  it('drives it harder where the sound is quieter, as far as the range goes, and says what is added then', () => {
    const { host, notices, stages } = rig(loudNoise(0.001));
    addStage(host, 'c', 'soft-clip');
    expect(stages()[0].params.drive).toBe(24);
    expect(notices.notices[0].text).toMatch(/^Soft clip added at \+24\.0 dB drive: about 0\.\d % added here\.$/);
  });

  it('says that a transformer, which bends low notes only, adds its amount at most and where', () => {
    const { host, notices } = rig(loudNoise(0.3));
    addStage(host, 'c', 'transformer');
    expect(notices.notices[0].text).toMatch(
      /^Transformer added at −?\+?\d+\.\d dB drive: at most [01]\.\d % of what lies about 50 Hz\.$/,
    );
  });

  it('takes what all drives add to every drive into account', () => {
    const [plain, moved] = [rig(loudNoise(0.3)), rig(loudNoise(0.3), {}, -8)];
    for (const { host } of [plain, moved]) addStage(host, 'c', 'soft-clip');
    expect(Number(moved.stages()[0].params.drive) - Number(plain.stages()[0].params.drive)).toBe(8);
  });

  it('keeps the declared default where nothing is known or heard', () => {
    for (const programme of [null, amplitudes([new Float32Array(4800)])]) {
      const { host, notices, stages } = rig(programme);
      addStage(host, 'c', 'soft-clip');
      expect(stages()[0].params.drive).toBe(0);
      expect(notices.notices[0].text).toBe(
        'Soft clip added at 0.0 dB drive, its default: nothing is known of the sound here yet.',
      );
    }
  });

  it('offers the way back only until the next step', () => {
    const { host, notices } = rig(loudNoise(0.3));
    notices.say('info', 'Stored.');
    addStage(host, 'c', 'soft-clip');
    addStage(host, 'c', 'diode-pair');
    expect(notices.notices.map(({ text }) => text.slice(0, 10))).toEqual(['Stored.', 'Diode pair']);
    host.dispatch({ type: 'set-rack-on', rackId: 'c', on: false });
    expect(notices.notices.map(({ text }) => text)).toEqual(['Stored.']);
  });
});

describe('setting to alignment', () => {
  it('says what it did in one line, and is one step back', async () => {
    const trims = [{ stageId: 'stage-1', trimIn: -4, trimOut: 4.2, driveDb: -7.5 }];
    const { host, notices, stages } = rig(null, { c: trims }, -2);
    addStage(host, 'c', 'soft-clip');
    await setToAlignment(host, ['c']);
    expect(stages()[0].params).toMatchObject({ trimIn: -4, trimOut: 4.2, drive: -5.5 });
    expect(notices.notices.map(({ text }) => text)).toEqual([
      'Trimmed to −18 dBFS: 1 stage; the drive of 1 stage was lowered, so that none adds more than it did or about 1 %.',
    ]);
    notices.notices[0].action?.run();
    expect(stages()[0].params).toMatchObject({ trimIn: 0, trimOut: 0, drive: 0 });
  });

  it('says why where it can’t be computed, and changes nothing', async () => {
    const { host, notices, canUndo } = rig(null);
    host.analysis.alignment = () => Promise.reject(new Error('The analysis stopped. Reload the page.'));
    await setToAlignment(host, ['c']);
    expect(notices.notices.map(({ kind, text }) => `${kind}: ${text}`)).toEqual([
      'fault: The analysis stopped. Reload the page.',
    ]);
    expect(canUndo()).toBe(false);
  });
});
