/** What is to be rendered: a session document and its sounds, whether from one file or from a session's JSON. */
import { createHash } from 'node:crypto';
import { existsSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { resample } from '../dsp/resample.ts';
import type { BroadcastInfo } from '../files/audio-data.ts';
import type { Planes } from '../render/rack-renderer.ts';
import type { Channel, SessionDocument, Stage } from '../session/document.ts';
import { emptyRack, emptySession, newChannel } from '../session/document.ts';
import { CliError } from './cli-error.ts';
import { checkMemory, renderBytes } from './memory.ts';
import { openSession } from './read-session.ts';
import { decodeSound, notNumbersWarning, readBytes, readSound } from './read-sound.ts';
import { checkRack } from './stage-argument.ts';

export interface RenderJob {
  readonly kind: 'file' | 'session';
  readonly document: SessionDocument;
  /** Each channel's sound at the session's rate. */
  readonly sources: ReadonlyMap<string, Planes>;
  /** Channels of the files to be written. */
  readonly channels: 1 | 2;
  /** The files' broadcast extensions, by channel id. */
  readonly extensions: ReadonlyMap<string, BroadcastInfo>;
  /** Files that were read: none of them may be overwritten. */
  readonly read: readonly string[];
  readonly warnings: readonly string[];
}

/** One file as a session of one channel that goes straight to the mix, matched over the whole file. */
export async function fileJob(path: string, stages: Stage[]): Promise<RenderJob> {
  const { audio } = await readSound(path);
  const { channels, sampleRate } = audio;
  checkPlayable(path, channels.length, sampleRate);
  const frames = channels[0].length;
  checkMemory(path, renderBytes(frames, channels.length, 0));
  const title = basename(path);
  const document: SessionDocument = {
    ...emptySession(sampleRate, title.slice(0, 200)),
    channels: [newChannel('file', title.slice(0, 200), { rack: { ...emptyRack(), stages } })],
    matchRegion: { startSeconds: 0, endSeconds: frames / sampleRate },
  };
  return {
    kind: 'file',
    document,
    sources: new Map([['file', channels]]),
    channels: channels.length === 1 ? 1 : 2,
    extensions: new Map(audio.bext ? [['file', audio.bext]] : []),
    read: [path],
    warnings: notNumbersWarning(path, audio.notNumbers),
  };
}

/**
 * A saved session. Its sound files are in its ZIP; of one without they lie beside it or in a folder "audio" there. All
 * are told by their SHA-256.
 */
export async function sessionJob(path: string): Promise<RenderJob> {
  const { document, audio: packed } = await openSession(path, ', or a sound file with --input');
  const sources = new Map<string, Planes>();
  const extensions = new Map<string, BroadcastInfo>();
  const read = [path];
  const warnings: string[] = [];
  for (const channel of document.channels) {
    checkRack(channel.rack, `Channel "${channel.name}"`);
    if (!channel.audio) {
      warnings.push(`Channel "${channel.name}" has no sound and stays silent.`);
      continue;
    }
    const within = packed.get(channel.audio.sha256);
    const file = within ? `${path}, ${channel.audio.file}` : findSound(path, channel);
    const bytes = within ?? readBytes(file);
    if (!within) {
      read.push(file);
      if (createHash('sha256').update(bytes).digest('hex') !== channel.audio.sha256) {
        throw new CliError(
          `${file}: It is not the recording that channel "${channel.name}" had; put that one in its place.`,
        );
      }
    }
    const audio = await decodeSound(file, bytes);
    checkPlayable(file, audio.channels.length, audio.sampleRate);
    warnings.push(...notNumbersWarning(file, audio.notNumbers));
    if (audio.bext) extensions.set(channel.id, audio.bext);
    sources.set(
      channel.id,
      audio.channels.map((plane) => resample(plane, audio.sampleRate, document.sampleRate)),
    );
  }
  for (const bus of document.buses) checkRack(bus.rack, `Bus "${bus.name}"`);
  checkRack(document.mix.rack, 'The mix');
  if (sources.size === 0)
    throw new CliError(`${path}: None of its channels has a sound; add one in Level Best and save it again.`);
  const all = [...sources.values()].flat();
  const frames = all.reduce((most, plane) => Math.max(most, plane.length), 0);
  checkMemory(path, renderBytes(frames, all.length, document.buses.length));
  return { kind: 'session', document, sources, extensions, channels: 2, read, warnings };
}

/** Only the name counts, so that a session from elsewhere can't reach into other folders. */
function findSound(session: string, { name, audio }: Channel): string {
  const file = basename((audio?.file ?? '').replaceAll('\\', '/'));
  const places = [join(dirname(session), file), join(dirname(session), 'audio', file)];
  const found = places.find((place) => file !== '' && existsSync(place));
  if (!found)
    throw new CliError(`Channel "${name}": ${places.join(' and ')} are missing; put "${file}" beside the session.`);
  return found;
}

function checkPlayable(path: string, channels: number, sampleRate: number): void {
  if (channels > 2) {
    throw new CliError(
      `${path}: It has ${channels} channels, and "render" takes mono and stereo; export it as one of these.`,
    );
  }
  if (sampleRate < 8000 || sampleRate > 192_000) {
    throw new CliError(
      `${path}: Its rate is ${sampleRate} Hz, and "render" takes 8 to 192 kHz; export it at such a rate.`,
    );
  }
}

/** Gains that were stored for another operating level are no longer those of this one. */
export function withAlignment(job: RenderJob, alignmentDbfs: number | undefined): RenderJob {
  const { document } = job;
  if (alignmentDbfs === undefined || alignmentDbfs === document.alignmentDbfs) return job;
  return { ...job, document: { ...document, alignmentDbfs, mix: { ...document.mix, outputMatchDb: null } } };
}
