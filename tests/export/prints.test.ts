/** Prints drop back in: under faders that stay, with racks emptied, they are the coloured session again. */
import { describe, expect, it } from 'vitest';
import { measure } from '../../src/dsp/measure.ts';
import { readFlac } from '../../src/files/flac.ts';
import { readWav } from '../../src/files/wav.ts';
import type { AudioReference, SessionDocument } from '../../src/session/document.ts';
import { emptyRack, newChannel } from '../../src/session/document.ts';
import { smallSession, smallSources } from '../measure/sessions.ts';
import type { SoundSession } from './export-rig.ts';
import { demoSession, differenceDb, planOf, sounds, twelveChannels, written } from './export-rig.ts';

/** The mix without its own rack and last gain: what prints can know of. */
function withoutMix(document: SessionDocument): SessionDocument {
  return { ...document, mix: { rack: emptyRack(), outputMatchDb: 0 } };
}

/** The same faders, balances and buses, and every rack empty. */
function bare(document: SessionDocument): SessionDocument {
  const empty = <Strip extends { rack: unknown }>(strip: Strip) => ({ ...strip, rack: emptyRack() });
  return { ...withoutMix(document), channels: document.channels.map(empty), buses: document.buses.map(empty) };
}

const SESSIONS: readonly (readonly [string, () => SoundSession | Promise<SoundSession>])[] = [
  ['the demo session', () => demoSession(1)],
  ['twelve channels, mono and stereo, on buses and beside them', () => twelveChannels(1, 16_000)],
];

// The error of rounding to N bits is at most half a step a file (2^−N of full scale), and faders turn it down.
describe.each(SESSIONS)('%s', (_, make) => {
  it.each([
    ['float', -140],
    [24, 20 * Math.log10(14 * 2 ** -24)],
  ] as const)('channel prints of %s bit dropped back in are the coloured mix', async (bits, limit) => {
    const { document, sources } = await make();
    const buses = document.buses.map((bus) => ({ ...bus, rack: emptyRack() }));
    const session = { document: withoutMix({ ...document, buses }), sources };
    const plan = planOf(session, { bits });
    const files = sounds(await written(plan));
    const prints = plan.files.filter(({ kind }) => kind === 'channel');
    const back = new Map(prints.map(({ rackId, name }) => [rackId, files.get(name)!]));
    // Mono came back as mono.
    for (const [id, planes] of back) expect([id, planes.length]).toEqual([id, sources.get(id)!.length]);
    const again = sounds(await written(planOf({ document: bare(document), sources: back }, { stems: false })));
    const apart = differenceDb(again.get('clean.wav')!, files.get('coloured.wav')!);
    console.log(`channel prints, ${bits}: ${apart.toFixed(1)} dBFS from the coloured mix`);
    expect(apart).toBeLessThan(limit);
    // And it isn't the clean mix that comes back.
    expect(differenceDb(again.get('clean.wav')!, files.get('clean.wav')!)).toBeGreaterThan(-60);
  });

  it('bus prints under the buses’ gains, and what plays beside them, are the coloured mix', async () => {
    const { document, sources } = await make();
    const session = { document: withoutMix(document), sources };
    const plan = planOf(session);
    const files = sounds(await written(plan));
    const printOf = (id: string) => files.get(plan.files.find(({ rackId }) => rackId === id)!.name)!;
    const beside = document.channels.filter(({ busId }) => busId === null);
    const channels = [
      ...document.buses.map(({ id, gainDb }) => newChannel(id, id, { gainDb })),
      ...beside.map((channel) => ({ ...channel, rack: emptyRack() })),
    ];
    const back = new Map(channels.map(({ id }) => [id, printOf(id)]));
    const again = sounds(
      await written(planOf({ document: { ...bare(document), channels, buses: [] }, sources: back }, { stems: false })),
    );
    expect(differenceDb(again.get('clean.wav')!, files.get('coloured.wav')!)).toBeLessThan(-130);
  });

  it('prints after the fader add up to the coloured mix as they are', async () => {
    const { document, sources } = await make();
    const buses = document.buses.map((bus) => ({ ...bus, rack: emptyRack(), gainDb: 0 }));
    const session = { document: withoutMix({ ...document, buses }), sources };
    const plan = planOf(session, { fader: 'after' });
    const files = sounds(await written(plan));
    const sum = [0, 1].map(() => new Float32Array(plan.frames));
    for (const { name, kind } of plan.files) {
      if (kind !== 'channel') continue;
      const planes = files.get(name)!;
      expect(planes).toHaveLength(2);
      for (const [side, plane] of planes.entries()) for (const [i, x] of plane.entries()) sum[side][i] += x;
    }
    expect(differenceDb(sum, files.get('coloured.wav')!)).toBeLessThan(-130);
  });
});

describe('names of prints', () => {
  it('are those of the sources, in a folder that says where they were taken', () => {
    const document = smallSession();
    const audio = (file: string): AudioReference => ({
      file,
      sha256: '0'.repeat(64),
      sampleRate: 48000,
      channelCount: 1,
      frames: 96_000,
    });
    const files = ['Reeds/Melodica – take 3 (härte).wav', 'Kick.WAV', 'kick.flac'];
    document.channels.forEach((channel, i) => {
      channel.audio = audio(files[i]);
    });
    const session = { document, sources: smallSources(0.5) };
    const names = (fader: 'before' | 'after') =>
      planOf(session, { pair: false, format: 'flac', bits: 24, fader }).files.map(({ name }) => name);
    expect(names('before')).toEqual([
      'channels before fader/Melodica – take 3 (härte).flac',
      'channels before fader/Kick.flac',
      'channels before fader/kick 2.flac',
      'buses before fader/Reeds.flac',
    ]);
    expect(names('after').map((name) => name.split('/')[0])).toEqual([
      'channels after fader',
      'channels after fader',
      'channels after fader',
      'buses after fader',
    ]);
  });
});

describe('what prints say of themselves', () => {
  const history = 'A=PCM,F=48000,W=24,M=mono,T=take 3\r\n';
  const bext = new Map(
    smallSession().channels.map(({ id }) => [
      id,
      {
        description: `${id}, take 3`,
        originator: 'Harbour Hall',
        date: '2026-01-02',
        timeReference: 96,
        codingHistory: history,
      },
    ]),
  );

  it('is what the source says, one line of history, and the loudness of the file', async () => {
    const session = { document: smallSession(16_000), sources: smallSources(3.5, 16_000) };
    const plan = planOf(session, { bext, bits: 24, now: new Date(0) });
    for (const [name, bytes] of await written(plan)) {
      const { bext: own, channels } = readWav(bytes);
      const { integratedLufs, truePeakDbtp, maxShortTermLufs } = measure(channels, 16_000);
      expect(own?.loudness?.integrated, name).toBeCloseTo(integratedLufs!, 2);
      expect(own?.loudness?.truePeak, name).toBeCloseTo(truePeakDbtp!, 2);
      expect(own?.loudness?.shortTerm, name).toBeCloseTo(maxShortTermLufs!, 2);
      const lines = own!.codingHistory!.split('\r\n');
      expect([lines.length, `${lines[0]}\r\n`], name).toEqual([3, history]);
      // A mix or bus is a programme of its own; a channel is still the take that it was.
      const isChannel = name.startsWith('channels');
      expect([own!.originator, own!.date], name).toEqual(
        isChannel ? ['Harbour Hall', '2026-01-02'] : ['Level Best', '1970-01-01'],
      );
    }
  });

  it('is the same in a FLAC', async () => {
    const session = { document: smallSession(16_000), sources: smallSources(3.5, 16_000) };
    const wav = await written(planOf(session, { bext, bits: 24, now: new Date(0) }));
    const flac = await written(planOf(session, { bext, bits: 24, now: new Date(0), format: 'flac' }));
    for (const [name, bytes] of wav) {
      // A WAV has empty fields where a FLAC has none.
      const stated = Object.fromEntries(Object.entries(readWav(bytes).bext!).filter(([, value]) => value !== ''));
      expect((await readFlac(flac.get(name.replace(/wav$/, 'flac'))!)).bext, name).toEqual(stated);
    }
  });
});
