import { checkHead } from '../audio/decode.ts';
import { AudioFileError } from '../files/audio-file-error.ts';
import { nextTask } from '../render/run-steps.ts';
import { sha256Hex } from '../session/hashes.ts';
import type { FileReading } from '../stores/file-store.ts';
import type { AddingHost } from './adding-host.ts';
import { notAudio } from './adding-words.ts';
import { Arrival } from './arrival.ts';
import { chooseFiles, commonFolder } from './choose-files.ts';
import type { Notices } from './notices.ts';
import { sentence } from './notices.ts';
import { readWhole, unlessStopped } from './read-whole.ts';
import type { Saving } from './saving.ts';
import { SoundRoomError } from './sound-room.ts';
import type { Sounds } from './sounds.ts';
import type { Versions } from './versions.ts';

/** Sample rates at which an audio context can be opened. */
const LOWEST_RATE = 22050;
const HIGHEST_RATE = 192000;
const COMMON_RATE = 48000;
/** Headers stand within these, whatever a broadcast extension puts before them. */
const HEAD_BYTES = 1e6;
/** Of the work on one file: reading is done, decoding is done. */
const READ_SHARE = 0.3;
const DECODED_SHARE = 0.9;

/**
 * Brings the user's own audio files into the session, one at a time so that memory holds and the screen stays awake.
 * All of them together are one step of undo. One whose bytes a channel misses brings that channel's sound back.
 */
export class Adding {
  reading: FileReading | null = null;
  private turn: Promise<void> = Promise.resolve();
  private stopping = new AbortController();
  /** The session that the files are for. */
  private target: object | null = null;

  constructor(
    private readonly host: AddingHost,
    private readonly sounds: Sounds,
    private readonly saving: Saving,
    private readonly versions: Versions,
    private readonly notices: Notices,
  ) {}

  /** Files that can't be read are named, the others come in; files that are no audio are counted. */
  add(files: readonly File[]): Promise<void> {
    this.turn = this.turn.catch(() => undefined).then(() => this.run(files));
    return this.turn;
  }

  /** What was read until now comes in; the file that is being read, and the rest, do not. */
  stop(): void {
    this.stopping.abort();
  }

  /** A channel's own file brings its sound back; another one is offered as its new version. */
  find(channelId: string, file: File): Promise<void> {
    const arrival = new Arrival(this.host, this.sounds);
    this.turn = this.turn.catch(() => undefined).then(() => this.bring([file], arrival, channelId));
    return this.turn;
  }

  private async run(files: readonly File[]): Promise<void> {
    const { audio, others } = chooseFiles(files);
    const left = notAudio(others);
    if (left) this.notices.say(audio.length === 0 ? 'warning' : 'info', left);
    await this.bring(audio, new Arrival(this.host, this.sounds, commonFolder(audio)), null);
  }

  private async bring(files: readonly File[], arrival: Arrival, wantedBy: string | null): Promise<void> {
    const { host } = this;
    await host.whenFree();
    this.target = host.session;
    this.stopping = new AbortController();
    const { signal } = this.stopping;
    for (const [done, file] of files.entries()) {
      this.tell({ done, total: files.length, file: file.name, step: 'reading', share: 0 });
      // The screen is drawn between two files, whatever they cost.
      await nextTask();
      if (signal.aborted || host.session !== this.target) break;
      try {
        await this.take(file, arrival, wantedBy);
      } catch (fault) {
        if (signal.aborted) break;
        const named = fault instanceof AudioFileError || fault instanceof SoundRoomError;
        this.notices.say('fault', named ? fault.message : `${file.name}: ${sentence(fault)}`);
      }
      arrival.read++;
    }
    this.reading = null;
    await host.whenFree();
    // They were for a session in whose place another one stands now.
    if (host.session === this.target) {
      const { notices, versions } = arrival.settle(files.length);
      for (const [kind, text] of notices) this.notices.say(kind, text);
      this.versions.offer(versions);
    }
    host.notify();
  }

  /** How far it is now; what isn't given stays. */
  private tell(now: Partial<FileReading>): void {
    const { reading } = this;
    this.reading = { done: 0, total: 1, file: '', step: 'reading', share: 0, ...reading, ...now };
    this.host.notify();
  }

  /** The user's own recordings don't come among the demo's. */
  private leaveDemo(): void {
    const { host } = this;
    if (host.isWorthKeeping || host.document.channels.length === 0) return;
    host.startNewSession();
    this.target = host.session;
    this.notices.say('info', 'The demo made room for your files. “Demo session” brings it back.');
  }

  /** Lets go of what only undo would ask for. */
  private makeRoom(arrival: Arrival): void {
    const used = this.host.document.channels.flatMap(({ audio }) => (audio ? [audio.sha256] : []));
    this.sounds.keepOnly(new Set([...used, ...arrival.hashes, ...this.versions.hashes]));
  }

  private async take(file: File, arrival: Arrival, wantedBy: string | null): Promise<void> {
    const { host, sounds } = this;
    const { signal } = this.stopping;
    checkHead(file.name, new Uint8Array(await file.slice(0, HEAD_BYTES).arrayBuffer()), file.size);
    const bytes = await readWhole(file, signal, (share) => this.tell({ share: READ_SHARE * share }));
    const sha256 = await unlessStopped(signal, sha256Hex(bytes));
    const place = arrival.place(file.name, sha256, wantedBy);
    if (place === 'here' || place === 'no-room') return;
    this.tell({ step: 'decoding', share: READ_SHARE });
    const sound = await unlessStopped(signal, sounds.read(file.name, bytes, sha256));
    if (place === 'new') this.leaveDemo();
    if (sounds.isEmpty && host.document.channels.length === 0) host.begin(playableRate(sound.audio.sampleRate));
    if (!sounds.has(sha256)) {
      if (!sounds.hasRoomFor(sound, host.document.sampleRate)) this.makeRoom(arrival);
      this.tell({ share: DECODED_SHARE });
      const planes = await unlessStopped(signal, sounds.fit(sound, host.document.sampleRate));
      if (host.session === this.target) sounds.put(sha256, planes);
    }
    await this.saving.keepOwn(sha256, bytes);
    arrival.take(place, sound.reference, file, wantedBy);
  }
}

function playableRate(rate: number): number {
  return rate >= LOWEST_RATE && rate <= HIGHEST_RATE ? rate : COMMON_RATE;
}
