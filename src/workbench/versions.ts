import { MAX_CHANNELS } from '../engine/config.ts';
import type { Command } from '../session/commands.ts';
import type { AudioReference } from '../session/document.ts';
import { newChannel } from '../session/document.ts';
import type { FileVersion, FileVersionAnswer } from '../stores/file-store.ts';
import type { AddingHost } from './adding-host.ts';
import { noRoom } from './adding-words.ts';
import { channelNames } from './channel-names.ts';
import type { Notices } from './notices.ts';

/** A file that came with the name of a channel's file, or in its place, but with other sound. */
export interface OtherVersion {
  reference: AudioReference;
  channelIds: string[];
}

/** Other versions of the session's files, which wait for the user's word. */
export class Versions {
  private waiting: (OtherVersion & { readonly id: number })[] = [];
  private next = 1;

  constructor(
    private readonly host: AddingHost,
    private readonly notices: Notices,
  ) {}

  get questions(): readonly FileVersion[] {
    const { channels } = this.host.document;
    return this.waiting.flatMap(({ id, reference, channelIds }) => {
      const own = channels.filter((channel) => channelIds.includes(channel.id) && channel.audio !== null);
      const before = own[0]?.audio;
      return before ? [{ id, channels: own.map(({ name }) => name), file: reference, before }] : [];
    });
  }

  /** SHA-256 of the files that wait. */
  get hashes(): readonly string[] {
    return this.waiting.map(({ reference }) => reference.sha256);
  }

  offer(versions: readonly OtherVersion[]): void {
    if (versions.length === 0) return;
    this.waiting = [...this.waiting, ...versions.map((version) => ({ ...version, id: this.next++ }))];
    this.host.notify();
  }

  /** Another session stands here now. */
  forget(): void {
    this.waiting = [];
  }

  /** Answers all of them as one step of undo; one without an answer is left. */
  answer(answers: ReadonlyMap<number, FileVersionAnswer>): void {
    const { host } = this;
    const waiting = this.waiting;
    this.waiting = [];
    const commands: Command[] = [];
    let room = MAX_CHANNELS - host.document.channels.length;
    const homeless: string[] = [];
    const names = host.document.channels.map(({ name }) => name);
    for (const { id, reference, channelIds } of waiting) {
      const answer = answers.get(id) ?? 'leave';
      if (answer === 'use') {
        for (const channelId of channelIds) commands.push({ type: 'relink-audio', channelId, audio: reference });
      } else if (answer === 'add' && room > 0) {
        room--;
        const [name] = channelNames([{ name: reference.file, type: '' }], names) as [string];
        names.push(name);
        commands.push({ type: 'add-channel', channel: newChannel(host.newId('channel'), name, { audio: reference }) });
      } else if (answer === 'add') {
        homeless.push(reference.file);
      }
    }
    if (commands.length > 0) host.dispatch({ type: 'all', commands });
    const refused = noRoom(homeless, MAX_CHANNELS);
    if (refused) this.notices.say('warning', refused);
    host.notify();
  }
}
