import { afterEach, describe, expect, it, vi } from 'vitest';
import { writeFlac } from '../../src/files/flac.ts';
import { sha256Hex } from '../../src/session/hashes.ts';
import { FilesHost, wav } from './files-host.ts';

const hashOf = async (file: File) => sha256Hex(new Uint8Array(await file.arrayBuffer()));

afterEach(() => vi.unstubAllGlobals());

describe('files that come in', () => {
  it('are channels in natural order, at the rate of the first, in one step of undo', async () => {
    const host = new FilesHost();
    await host.adding.add([wav('mic 10.wav', 3), wav('mic 2.wav', 5, { sampleRate: 44100 }), wav('mic 1.wav', 7)]);
    expect(host.names).toEqual(['mic 1', 'mic 2', 'mic 10']);
    expect(host.document.sampleRate).toBe(48000);
    expect(host.selected).toBe(host.document.channels[0].id);
    expect(host.texts).toEqual([
      'mic 2.wav has another sample rate than the session. It is heard and exported at 48 kHz.',
    ]);
    const planes = host.sounds.of(host.document);
    // 480 frames at 44.1 kHz last as long as 522.4 at 48 kHz.
    expect(planes.get(host.document.channels[1].id)?.[0].length).toBe(522);
    expect(host.kept.size).toBe(3);
    host.history.undo();
    expect(host.names).toEqual([]);
    host.history.redo();
    expect(host.sounds.missing(host.document)).toEqual([]);
  });

  it('keep their place in time, their origin and their history, and not their loudness', async () => {
    const host = new FilesHost();
    const bext = {
      timeReference: 172_800_000,
      description: 'Hall, second set',
      originator: 'Harbour Hall',
      date: '2026-01-02',
      codingHistory: 'A=PCM,F=48000,W=24,M=mono,T=take\r\n',
    };
    await host.adding.add([wav('a.wav', 3, { bext: { ...bext, loudness: { integrated: -20 } } })]);
    expect(host.document.channels[0].audio?.bext).toEqual(bext);
  });

  it('give an empty session their rate, and one without a name their folder as its name', async () => {
    const host = new FilesHost();
    const file = wav('a.wav', 3, { sampleRate: 96000 });
    Object.defineProperty(file, 'webkitRelativePath', { value: 'Harbour stems/a.wav' });
    await host.adding.add([file]);
    expect(host.document.sampleRate).toBe(96000);
    expect(host.document.name).toBe('Harbour stems');
  });

  it('leave what is not audio out and name what is broken; the rest comes in', async () => {
    const host = new FilesHost();
    await host.adding.add([
      new File(['Dear engineer'], 'letter.txt'),
      new File([''], 'empty.wav'),
      wav('a.wav', 3),
      new File(['{}'], 'session.json'),
    ]);
    expect(host.names).toEqual(['a']);
    expect(host.texts[0]).toBe('2 files are not audio and were left out.');
    expect(host.texts[1]).toMatch(/^empty\.wav: The file is empty/);
  });

  it('tell how far they are, and stop with what was read', async () => {
    const host = new FilesHost();
    const seen: string[] = [];
    host.onNotify = () => {
      const { reading } = host.adding;
      const now = reading && `${reading.done}/${reading.total} ${reading.file}`;
      if (now && seen.at(-1) !== now) seen.push(now);
      if (reading?.done === 2) host.adding.stop();
    };
    await host.adding.add([wav('a.wav', 3), wav('b.wav', 5), wav('c.wav', 7)]);
    expect(seen).toEqual(['0/3 a.wav', '1/3 b.wav', '2/3 c.wav']);
    expect(host.names).toEqual(['a', 'b']);
    expect(host.adding.reading).toBeNull();
    expect(host.texts).toEqual(['Stopped: 2 of 3 files were read and came in.']);
  });

  it('tell the steps of a single one, which can be stopped at any of them', async () => {
    const steps: string[] = [];
    for (const stopAt of ['reading 0', 'reading 0.3', 'decoding 0.3', 'decoding 0.9', 'never']) {
      const host = new FilesHost();
      host.onNotify = () => {
        const { reading } = host.adding;
        if (!reading) return;
        const now = `${reading.step} ${reading.share}`;
        if (stopAt === 'never') steps.push(now);
        if (now === stopAt) host.adding.stop();
      };
      await host.adding.add([wav('long.wav', 3, { sampleRate: 44100 })]);
      expect(host.names, stopAt).toEqual(stopAt === 'never' ? ['long'] : []);
      expect(host.texts, stopAt).toEqual(stopAt === 'never' ? [] : ['Stopped: the file did not come in.']);
      expect(host.adding.reading, stopAt).toBeNull();
      if (stopAt === 'never') continue;
      host.onNotify = () => {};
      await host.adding.add([wav('long.wav', 3)]);
      expect(host.names, `${stopAt}, once more`).toEqual(['long']);
    }
    expect(steps).toEqual(['reading 0', 'reading 0.3', 'decoding 0.3', 'decoding 0.9']);
  });

  it('of more than an hour are refused by their headers, before they are read', async () => {
    const flac = await writeFlac({ channels: [new Float32Array(500)], sampleRate: 48_000 }, { bits: 16 });
    // STREAMINFO's 36 bits of total samples end at byte 18 of its body (RFC 9639, 8.2); the body starts at 8.
    const frames = 3 * 3600 * 48_000;
    new DataView(flac.buffer).setUint32(8 + 14, frames);
    const file = new File([flac as Uint8Array<ArrayBuffer>], 'three hours.flac');
    let whole = 0;
    const slice = file.slice.bind(file);
    file.slice = (start, end) => {
      if (start !== 0 || (end ?? 0) > 1e6) whole++;
      return slice(start, end);
    };
    const host = new FilesHost();
    await host.adding.add([file]);
    expect(host.texts).toEqual([
      'three hours.flac: It lasts 3 h 0 min, and a channel here holds an hour. Cut it to the part you want to work on.',
    ]);
    expect(whole).toBe(0);
  });

  it('of one name are told apart by their folders, or by a number, in their order', async () => {
    const host = new FilesHost();
    const at = (path: string, seed: number) =>
      Object.defineProperty(wav(path.split('/').at(-1) as string, seed), 'webkitRelativePath', { value: path });
    await host.adding.add([at('hall/room/Kick.wav', 3), at('hall/close/Kick.wav', 5), at('hall/close/Snare.wav', 7)]);
    expect(host.names).toEqual(['Kick (close)', 'Snare', 'Kick (room)']);
    const plain = new FilesHost();
    await plain.adding.add([wav('Kick.wav', 3), wav('kick.flac', 5), wav('Snare.wav', 7)]);
    expect(plain.names).toEqual(['kick', 'Kick 2', 'Snare']);
  });

  it('do not come into another session that took the place of theirs', async () => {
    const host = new FilesHost();
    host.onNotify = () => {
      if (host.adding.reading?.done === 1) host.history = new FilesHost().history;
    };
    await host.adding.add([wav('a.wav', 3), wav('b.wav', 5)]);
    expect(host.names).toEqual([]);
    expect(host.texts).toEqual([]);
  });

  it('take the place of a demo that was not touched, as soon as one of them can be read', async () => {
    const demo = new FilesHost();
    await demo.adding.add([wav('demo.wav', 3)]);
    const host = new FilesHost(demo.document);
    host.isWorthKeeping = false;
    await host.adding.add([new File([''], 'empty.wav')]);
    expect(host.names).toEqual(['demo']);
    await host.adding.add([wav('a.wav', 5, { sampleRate: 44100 }), wav('b.wav', 7)]);
    expect(host.names).toEqual(['a', 'b']);
    expect(host.document.sampleRate).toBe(44100);
    expect(host.texts).toContain('The demo made room for your files. “Demo session” brings it back.');
    expect(host.sounds.missing(host.document)).toEqual([]);
    const touched = new FilesHost(demo.document);
    await touched.adding.add([wav('a.wav', 5)]);
    expect(touched.names).toEqual(['demo', 'a']);
  });

  it('come in up to the last channel there is room for', async () => {
    const host = new FilesHost();
    await host.adding.add(Array.from({ length: 34 }, (_, i) => wav(`${i}.wav`, i + 2)));
    expect(host.names.length).toBe(32);
    expect(host.texts).toEqual([
      '2 files were not added: a session holds 32 channels. Remove some, or start another session for the rest.',
    ]);
  });

  it('take the room of sound that only undo would ask for, and no other', async () => {
    // Some 5 kB of sound: two files of 480 samples and a half.
    vi.stubGlobal('navigator', { deviceMemory: 2e-5 });
    const host = new FilesHost();
    await host.adding.add([wav('a.wav', 3), wav('b.wav', 5)]);
    await host.adding.add([wav('c.wav', 7)]);
    expect(host.names).toEqual(['a', 'b']);
    expect(host.texts[0]).toMatch(/^c\.wav did not come in/);
    const [a] = host.document.channels;
    host.dispatch({ type: 'remove-channel', channelId: a.id });
    await host.adding.add([wav('c.wav', 7)]);
    expect(host.names).toEqual(['b', 'c']);
    expect(host.sounds.missing(host.document)).toEqual([]);
    const released = a.audio?.sha256;
    expect(host.sounds.has(released as string)).toBe(false);
    expect(host.sounds.hashes, 'undo needs it in the store').toContain(released);
    expect(host.sounds.takeReleased(released)).toBe(true);
    expect(host.sounds.takeReleased(released)).toBe(false);
  });

  it('come one after the other when they are handed over in two goes', async () => {
    const host = new FilesHost();
    await Promise.all([host.adding.add([wav('a.wav', 3)]), host.adding.add([wav('b.wav', 5)])]);
    expect(host.names).toEqual(['a', 'b']);
  });
});

describe('files that are known', () => {
  it('are not added again under their name, but under another one', async () => {
    const host = new FilesHost();
    await host.adding.add([wav('a.wav', 3)]);
    await host.adding.add([wav('a.wav', 3), wav('double.wav', 3)]);
    expect(host.names).toEqual(['a', 'double']);
    expect(host.texts).toEqual(['a.wav is in the session already and was not added again.']);
  });

  it('bring the sound back that a channel misses, whatever they are called, without a change of the document', async () => {
    const [a, b] = [wav('a.wav', 3), wav('b.wav', 5)];
    const first = new FilesHost();
    await first.adding.add([a, b]);
    const host = new FilesHost(first.document);
    const before = host.document;
    expect(host.sounds.missing(host.document).length).toBe(2);
    await host.adding.add([wav('renamed.wav', 5)]);
    expect(host.sounds.missing(host.document).map(({ name }) => name)).toEqual(['a']);
    expect(host.document).toBe(before);
    expect(host.texts).toEqual(['b: the sound is back.']);
    const known = first.sounds.of(before).get(before.channels[1].id);
    expect(host.sounds.of(before).get(before.channels[1].id)).toEqual(known);
  });

  it('are asked about when the name is the same and the sound is not; undo brings the earlier one back', async () => {
    const host = new FilesHost();
    await host.adding.add([wav('a.wav', 3)]);
    const [{ id, audio }] = host.document.channels;
    const other = wav('a.wav', 11);
    await host.adding.add([other]);
    expect(host.names).toEqual(['a']);
    const [question] = host.versions.questions;
    expect(question.channels).toEqual(['a']);
    expect(question.before).toEqual(audio);
    expect(question.file.sha256).toBe(await hashOf(other));
    host.versions.answer(new Map([[question.id, 'use']]));
    expect(host.document.channels[0].audio?.sha256).toBe(await hashOf(other));
    expect(host.versions.questions).toEqual([]);
    const now = host.sounds.of(host.document).get(id);
    host.history.undo();
    expect(host.document.channels[0].audio).toEqual(audio);
    expect(host.sounds.of(host.document).get(id)).not.toEqual(now);
    expect(host.sounds.missing(host.document)).toEqual([]);
  });

  it('become channels of their own, or nothing, as the answer says', async () => {
    const host = new FilesHost();
    await host.adding.add([wav('a.wav', 3), wav('b.wav', 5)]);
    await host.adding.add([wav('a.wav', 11), wav('b.wav', 13)]);
    const [first, second] = host.versions.questions;
    host.versions.answer(
      new Map([
        [first.id, 'add'],
        [second.id, 'leave'],
      ]),
    );
    expect(host.names).toEqual(['a', 'b', 'a 2']);
    host.history.undo();
    expect(host.names).toEqual(['a', 'b']);
  });

  it('are not taken for a version of a channel whose own file came along', async () => {
    const host = new FilesHost();
    const named = (path: string, seed: number) => {
      const file = wav('kick.wav', seed);
      Object.defineProperty(file, 'webkitRelativePath', { value: path });
      return file;
    };
    await host.adding.add([named('s/near/kick.wav', 3)]);
    await host.adding.add([named('s/near/kick.wav', 3), named('s/far/kick.wav', 5)]);
    expect(host.versions.questions).toEqual([]);
    expect(host.names).toEqual(['kick', 'kick 2']);
  });

  it('found for one channel are its own, or asked about', async () => {
    const first = new FilesHost();
    await first.adding.add([wav('a.wav', 3), wav('b.wav', 5)]);
    const host = new FilesHost(first.document);
    const [a, b] = host.document.channels;
    await host.adding.find(a.id, wav('anything.wav', 3));
    expect(host.texts).toEqual(['a: the sound is back.']);
    await host.adding.find(b.id, wav('take 2.wav', 17));
    expect(host.versions.questions.map(({ channels, file }) => [channels, file.file])).toEqual([[['b'], 'take 2.wav']]);
    expect(host.names).toEqual(['a', 'b']);
  });
});
