import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import type { AudioData } from '../files/audio-data.ts';
import { AudioFileError } from '../files/audio-file-error.ts';
import { readFlac } from '../files/flac.ts';
import { wavChunks } from '../files/riff.ts';
import { sniff } from '../files/sniff.ts';
import { readWav } from '../files/wav.ts';
import { CliError } from './cli-error.ts';

/** Samples of all channels together that are held at once: an hour of stereo at 48 kHz. */
const MOST_SAMPLES = 2 * 3600 * 48_000;
/** Node reads no file of 2 GiB or more at once. */
const MOST_BYTES = 2 ** 31 - 1;

export interface SoundFile {
  readonly audio: AudioData;
  readonly bytes: Uint8Array;
}

/**
 * Reads a WAV or FLAC file.
 * @throws CliError that names the file and says what to do
 */
export async function readSound(path: string): Promise<SoundFile> {
  const bytes = readBytes(path);
  return { audio: await decodeSound(path, bytes), bytes };
}

/**
 * The sound in the bytes of a WAV or FLAC file.
 * @param path how messages name it
 * @throws CliError that names the file and says what to do
 */
export async function decodeSound(path: string, bytes: Uint8Array): Promise<AudioData> {
  try {
    const { format } = sniff(bytes);
    if (format !== 'wav' && format !== 'flac') {
      throw new AudioFileError(
        `The command line reads WAV and FLAC, not ${format.toUpperCase()}; save it as one of them.`,
      );
    }
    checkLength(format === 'wav' ? wavSamples(bytes) : flacSamples(bytes));
    return format === 'wav' ? readWav(bytes) : await readFlac(bytes);
  } catch (error) {
    if (error instanceof AudioFileError) throw new CliError(`${path}: ${error.message}`);
    if (error instanceof RangeError) {
      throw new CliError(`${path}: There is not enough memory for it; split it into shorter files.`);
    }
    throw error;
  }
}

/** The whole of a file. @throws CliError that names it and says what to do */
export function readBytes(path: string): Uint8Array<ArrayBuffer> {
  let file: number | undefined;
  try {
    file = openSync(path, 'r');
    const { size } = fstatSync(file);
    if (size > MOST_BYTES) throw new CliError(`${path}: The file is longer than 2 GB; split it into shorter files.`);
    const bytes = new Uint8Array(size);
    let at = 0;
    while (at < size) {
      const read = readSync(file, bytes, at, size - at, at);
      if (read === 0) break;
      at += read;
    }
    return bytes.subarray(0, at);
  } catch (error) {
    throw fileError(path, error);
  } finally {
    if (file !== undefined) closeSync(file);
  }
}

function fileError(path: string, error: unknown): unknown {
  const reasons: Record<string, string> = {
    ENOENT: 'There is no such file; check its name and folder.',
    EISDIR: 'It is a folder; name the files in it.',
    EACCES: 'It may not be read; change its permissions or copy it.',
    ENOTDIR: 'A part of the path is a file, not a folder; correct the path.',
  };
  const reason = reasons[(error as NodeJS.ErrnoException).code ?? ''];
  return reason ? new CliError(`${path}: ${reason}`) : error;
}

function checkLength(samples: number): void {
  if (samples > MOST_SAMPLES) {
    throw new AudioFileError('It is longer than an hour of stereo at 48 kHz; split it into shorter files.');
  }
}

/** Samples that a WAV's header states; what is wrong with the header is for the reader to say. */
function wavSamples(bytes: Uint8Array): number {
  const chunks = wavChunks(bytes);
  const fmt = chunks.get('fmt ');
  const data = chunks.get('data');
  if (!fmt || !data || fmt.start + 16 > bytes.length) return 0;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const channels = view.getUint16(fmt.start + 2, true);
  const frameBytes = view.getUint16(fmt.start + 12, true);
  return frameBytes > 0 ? (channels * Math.min(data.size, bytes.length)) / frameBytes : 0;
}

/** Samples that a FLAC's STREAMINFO states: 36 bits of frames from byte 21 on (RFC 9639, section 8.2); 0 if not stated. */
function flacSamples(bytes: Uint8Array): number {
  if (bytes.length < 26 || String.fromCharCode(...bytes.subarray(0, 4)) !== 'fLaC') return 0;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const channels = ((bytes[20] >> 1) & 7) + 1;
  return channels * ((bytes[21] & 15) * 2 ** 32 + view.getUint32(22));
}

/** A sentence about samples that were read as 0; none if there are none. */
export function notNumbersWarning(path: string, count = 0): string[] {
  if (count === 0) return [];
  const samples =
    count === 1 ? '1 sample was not a finite number and counts' : `${count} samples were not finite numbers and count`;
  return [`${path}: ${samples} as 0.`];
}
