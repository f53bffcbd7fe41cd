import { decodeFile } from '../audio/decode.ts';
import type { AudioData } from '../files/audio-data.ts';
import { newestLines } from '../files/audio-data.ts';
import type { Planes } from '../render/rack-renderer.ts';
import type { AudioReference, Bext, Channel, SessionDocument } from '../session/document.ts';
import { LIMITS } from '../session/document.ts';
import { sha256Hex } from '../session/hashes.ts';
import { bytesOf, checkRoom, SoundRoomError } from './sound-room.ts';

/** A sound file that was read, at its own rate. */
export interface ReadSound {
  readonly reference: AudioReference;
  readonly audio: AudioData;
}

/** The bytes of a sound file, or null where they are not to be had. */
export type ByteSource = (reference: AudioReference) => Promise<Uint8Array<ArrayBuffer> | null>;

export interface SoundContents {
  readonly known: ReadonlyMap<string, Planes>;
  /** SHA-256 of what undo may ask for, and which then is read again. */
  readonly released?: Iterable<string>;
}

type Resample = (planes: Planes, from: number, to: number) => Promise<Planes>;

const LONGEST_DESCRIPTION = 256;
/** The fields of a broadcast extension that have a fixed length (EBU Tech 3285). */
const EXTENSION_TEXTS = { originator: 32, originatorReference: 32, date: 10, time: 8 } as const;

/**
 * The sound of the session, under the SHA-256 of the file it came from: a channel that undo brings back, or that goes
 * back to another file, finds its sound here. It is kept until another session takes this one's place, or room is
 * needed: then what undo asks for again must be read again.
 */
export class Sounds {
  private known = new Map<string, Planes>();
  private released = new Set<string>();

  constructor(private readonly resample: Resample) {}

  get hashes(): readonly string[] {
    return [...this.known.keys(), ...this.released];
  }

  get isEmpty(): boolean {
    return this.known.size === 0;
  }

  has(sha256: string): boolean {
    return this.known.has(sha256);
  }

  put(sha256: string, planes: Planes): void {
    this.known.set(sha256, planes);
  }

  /** All of it, for `replace` to bring back. */
  get contents(): SoundContents {
    return { known: this.known, released: this.released };
  }

  /** Everything that was known goes, and this comes. */
  replace({ known, released = [] }: SoundContents): void {
    this.known = new Map(known);
    this.released = new Set(released);
  }

  /** Makes room: lets go of all sounds but these. */
  keepOnly(hashes: ReadonlySet<string>): void {
    for (const sha256 of this.known.keys()) {
      if (hashes.has(sha256)) continue;
      this.known.delete(sha256);
      this.released.add(sha256);
    }
  }

  /** True once for a sound that was let go. */
  takeReleased(sha256: string | undefined): boolean {
    return sha256 !== undefined && this.released.delete(sha256);
  }

  /** The sound of a document's channels by channel id, of those whose sound is here. */
  of(document: SessionDocument): Map<string, Planes> {
    return new Map(
      document.channels.flatMap(({ id, audio }) => {
        const planes = audio && this.known.get(audio.sha256);
        return planes ? [[id, planes] as const] : [];
      }),
    );
  }

  /** Channels that name a file whose sound is not here. */
  missing(document: SessionDocument): Channel[] {
    return document.channels.filter(({ audio }) => audio !== null && !this.known.has(audio.sha256));
  }

  /** @throws AudioFileError with a sentence that says what to do */
  async read(name: string, bytes: Uint8Array<ArrayBuffer>, sha256?: string): Promise<ReadSound> {
    const audio = await decodeFile(name, bytes);
    const bext = keptExtension(audio);
    const reference: AudioReference = {
      file: name,
      sha256: sha256 ?? (await sha256Hex(bytes)),
      sampleRate: audio.sampleRate,
      channelCount: audio.channels.length,
      frames: audio.channels[0].length,
      ...(bext ? { bext } : {}),
    };
    return { reference, audio };
  }

  /**
   * At the session's rate.
   * @param beside the sounds that memory must hold as well
   * @throws SoundRoomError where it can't
   */
  async fit(sound: ReadSound, sampleRate: number, beside = this.known): Promise<Planes> {
    checkSound(sound, sampleRate, beside);
    return this.resample(sound.audio.channels, sound.audio.sampleRate, sampleRate);
  }

  /** Whether memory holds this sound beside all that are here. */
  hasRoomFor(sound: ReadSound, sampleRate: number): boolean {
    try {
      checkSound(sound, sampleRate, this.known);
      return true;
    } catch (fault) {
      if (fault instanceof SoundRoomError) return false;
      throw fault;
    }
  }

  /**
   * The sound of a whole document, one file at a time so that memory holds. A file that isn't there, that can't be read
   * or whose bytes are not what the document names is left out; `faults` has a sentence for each that can't be read.
   */
  async gather(document: SessionDocument, load: ByteSource): Promise<{ known: Map<string, Planes>; faults: string[] }> {
    const known = new Map<string, Planes>();
    const faults: string[] = [];
    for (const { audio } of document.channels) {
      if (!audio || known.has(audio.sha256)) continue;
      try {
        const bytes = await load(audio);
        if (!bytes || (await sha256Hex(bytes)) !== audio.sha256) continue;
        const sound = await this.read(audio.file, bytes, audio.sha256);
        known.set(audio.sha256, await this.fit(sound, document.sampleRate, known));
      } catch (fault) {
        faults.push(fault instanceof Error ? fault.message : String(fault));
      }
    }
    return { known, faults };
  }
}

/** @throws SoundRoomError */
function checkSound({ audio, reference }: ReadSound, sampleRate: number, beside: ReadonlyMap<string, Planes>): void {
  const frames = Math.ceil((reference.frames * sampleRate) / audio.sampleRate);
  checkRoom(reference.file, bytesOf(beside.values()), frames, audio.channels.length);
}

/** What a broadcast WAV says of its place in time and its origin, as far as the document keeps it. */
function keptExtension({ bext }: AudioData): Bext | null {
  if (bext?.timeReference === undefined && !bext?.codingHistory) return null;
  const text = (key: keyof typeof EXTENSION_TEXTS) =>
    bext[key] ? { [key]: bext[key].slice(0, EXTENSION_TEXTS[key]) } : {};
  return {
    timeReference: bext.timeReference ?? 0,
    description: (bext.description ?? '').slice(0, LONGEST_DESCRIPTION),
    ...text('originator'),
    ...text('originatorReference'),
    ...text('date'),
    ...text('time'),
    ...(bext.codingHistory ? { codingHistory: newestLines(bext.codingHistory, LIMITS.codingHistory) } : {}),
  };
}
