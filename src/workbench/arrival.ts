import { MAX_CHANNELS } from '../engine/config.ts';
import type { Command } from '../session/commands.ts';
import type { AudioReference, Channel } from '../session/document.ts';
import { emptySession, newChannel } from '../session/document.ts';
import type { Notice } from '../stores/notice-store.ts';
import type { AddingHost } from './adding-host.ts';
import { alreadyHere, noRoom, resampled, soundBack, stoppedAt } from './adding-words.ts';
import { channelNames } from './channel-names.ts';
import type { PlacedFile } from './choose-files.ts';
import type { Sounds } from './sounds.ts';
import type { OtherVersion } from './versions.ts';

/** What a file is to the session: `here`: in it already; `back`: a channel misses it; `version`: named like another's. */
export type FilePlace = 'here' | 'no-room' | 'back' | 'version' | 'new';

/** Files that come in together: each is given its place while it is read, and all are brought in at the end, in one step. */
export class Arrival {
  /** Files that were read, well or not. */
  read = 0;
  private here: string[] = [];
  private homeless: string[] = [];
  private resampled: string[] = [];
  private back: Channel[] = [];
  private fresh: AudioReference[] = [];
  private versions: OtherVersion[] = [];
  /** The files in the order in which they came, by what the document says of them. */
  private readonly came = new Map<AudioReference, PlacedFile>();
  /** Channels whose own file is among those that came. */
  private readonly settled = new Set<string>();

  /** @param title what a session without a name of its own is called from now on */
  constructor(
    private readonly host: AddingHost,
    private readonly sounds: Sounds,
    private readonly title: string | null = null,
  ) {}

  /** SHA-256 of what came in and is no channel's yet. */
  get hashes(): readonly string[] {
    return [...this.fresh, ...this.versions.map(({ reference }) => reference)].map(({ sha256 }) => sha256);
  }

  /** @param wantedBy the channel that this file was looked for by; null where it came on its own */
  place(file: string, sha256: string, wantedBy: string | null): FilePlace {
    const { channels } = this.host.document;
    const missing = this.sounds.missing(this.host.document);
    const same = (channel: Channel) => channel.audio?.sha256 === sha256;
    if (missing.some((channel) => same(channel) && (wantedBy === null || channel.id === wantedBy))) return 'back';
    if (wantedBy !== null) return 'version';
    const own = channels.filter((channel) => same(channel) && channel.audio?.file === file);
    for (const { id } of own) this.settled.add(id);
    if (own.length > 0) {
      this.here.push(file);
      return 'here';
    }
    if (channels.some(({ audio }) => audio?.file === file && audio.sha256 !== sha256)) return 'version';
    if (channels.length + this.fresh.length < MAX_CHANNELS) return 'new';
    this.homeless.push(file);
    return 'no-room';
  }

  /** A file was read, and its sound is in the session's sounds, but for a `version` whose channels are found at the end. */
  take(place: FilePlace, reference: AudioReference, file: PlacedFile, wantedBy: string | null): void {
    const { document } = this.host;
    this.came.set(reference, file);
    if (reference.sampleRate !== document.sampleRate) this.resampled.push(reference.file);
    if (place === 'back') {
      const own = document.channels.filter(({ audio }) => audio?.sha256 === reference.sha256);
      for (const { id } of own) this.settled.add(id);
      this.back.push(...own);
    } else if (place === 'version') {
      this.versions.push({ reference, channelIds: wantedBy === null ? [] : [wantedBy] });
    } else {
      this.fresh.push(reference);
    }
  }

  /** Brings everything into the session; what is to be said about it, and the versions to be asked about. */
  settle(total: number): { notices: [Notice['kind'], string][]; versions: OtherVersion[] } {
    const { host } = this;
    const versions = this.versions.filter((version) => this.findChannels(version));
    const room = Math.max(0, MAX_CHANNELS - host.document.channels.length);
    const fresh = [...this.came].filter(([reference]) => this.fresh.includes(reference));
    for (const [{ file }] of fresh.slice(room)) this.homeless.push(file);
    const names = channelNames(
      fresh.map(([, file]) => file),
      host.document.channels.map(({ name }) => name),
    );
    const channels = fresh
      .slice(0, room)
      .map(([audio], i) => newChannel(host.newId('channel'), names[i] as string, { audio }));
    if (channels.length > 0) this.bringIn(channels);
    else if (this.back.length > 0) host.soundsChanged();
    const notices: [Notice['kind'], string | null][] = [
      ['info', soundBack(this.back.map(({ name }) => name))],
      ['info', alreadyHere(this.here)],
      ['info', resampled(this.resampled, host.document.sampleRate)],
      ['warning', noRoom(this.homeless, MAX_CHANNELS)],
      ['info', this.read < total ? stoppedAt(this.read, total) : null],
    ];
    return { notices: notices.flatMap(([kind, text]) => (text === null ? [] : [[kind, text]])), versions };
  }

  private bringIn(channels: readonly Channel[]): void {
    const { host, title } = this;
    const { name, channels: before } = host.document;
    const commands = channels.map((channel): Command => ({ type: 'add-channel', channel }));
    if (before.length === 0 && name === emptySession(0).name) {
      commands.push({ type: 'rename-session', name: title ?? 'My session' });
    }
    host.dispatch({ type: 'all', commands });
    host.selectRack(channels[0].id);
  }

  /**
   * The channels whose file has this one's name: those that miss it, else all but those whose own file came as well.
   * One version for each channel; where none is left, the file is a new channel's.
   */
  private findChannels(version: OtherVersion): boolean {
    if (version.channelIds.length === 0) {
      const { document } = this.host;
      const missing = this.sounds.missing(document);
      const named = document.channels.filter(
        ({ id, audio }) => audio?.file === version.reference.file && !this.settled.has(id),
      );
      const lost = named.filter((channel) => missing.includes(channel));
      version.channelIds = (lost.length > 0 ? lost : named).map(({ id }) => id);
    }
    for (const id of version.channelIds) this.settled.add(id);
    if (version.channelIds.length === 0) this.fresh.push(version.reference);
    return version.channelIds.length > 0;
  }
}
