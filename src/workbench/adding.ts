import { MAX_CHANNELS } from '../engine/limits.ts';
import { AudioFileError } from '../files/audio-file-error.ts';
import type { Command } from '../session/commands.ts';
import type { Channel, RackId, SessionDocument } from '../session/document.ts';
import { newChannel } from '../session/document.ts';
import type { Notices } from './notices.ts';
import type { Saving } from './saving.ts';
import { sentence } from './sentence.ts';
import type { Sounds } from './sounds.ts';

/** Sample rates at which an audio context can be opened. */
const LOWEST_RATE = 22050;
const HIGHEST_RATE = 192000;
const COMMON_RATE = 48000;

/** The session that files are added to. */
export interface AddingHost {
  readonly document: SessionDocument;
  dispatch(command: Command): void;
  selectRack(rackId: RackId): void;
  newId(what: string): string;
  /** An empty session takes this rate. */
  begin(sampleRate: number): void;
}

/** Brings the user's own audio files into the session. */
export class Adding {
  constructor(
    private readonly host: AddingHost,
    private readonly sounds: Sounds,
    private readonly saving: Saving,
    private readonly notices: Notices,
  ) {}

  /** Decodes files one by one; those that can't be read are named, the others come in. */
  async add(files: readonly File[]): Promise<void> {
    const { host } = this;
    const room = Math.max(0, MAX_CHANNELS - host.document.channels.length);
    if (files.length > room) {
      this.notices.say('warning', `A session holds ${MAX_CHANNELS} channels; the first ${room} files are added.`);
    }
    const channels: Channel[] = [];
    for (const file of files.slice(0, room)) {
      try {
        channels.push(await this.read(file, new Uint8Array(await file.arrayBuffer())));
      } catch (fault) {
        this.notices.say('fault', fault instanceof AudioFileError ? fault.message : `${file.name}: ${sentence(fault)}`);
      }
    }
    const [first] = channels;
    if (!first) return;
    host.dispatch({ type: 'all', commands: channels.map((channel): Command => ({ type: 'add-channel', channel })) });
    host.selectRack(first.id);
  }

  private async read(file: File, bytes: Uint8Array<ArrayBuffer>): Promise<Channel> {
    const { host, sounds } = this;
    const sound = await sounds.read(file.name, bytes);
    if (host.document.channels.length === 0 && sounds.hashes.length === 0)
      host.begin(playableRate(sound.audio.sampleRate));
    sounds.put(sound.reference.sha256, await sounds.fit(sound, host.document.sampleRate));
    await this.saving.keepAudio(sound.reference.sha256, bytes);
    return newChannel(host.newId('channel'), file.name.replace(/\.[^.]+$/, ''), { audio: sound.reference });
  }
}

function playableRate(rate: number): number {
  return rate >= LOWEST_RATE && rate <= HIGHEST_RATE ? rate : COMMON_RATE;
}
