/// <reference path="./wavefile-library.d.ts" />
import wavefile, { type WaveBroadcastExtension } from 'wavefile/dist/wavefile.js';
import { type AudioData, type BroadcastInfo, type BroadcastLoudness, checkShape } from './audio-data.ts';
import { AudioFileError } from './audio-file-error.ts';
import type { Chunk } from './riff.ts';

/*
 * The library "wavefile" (MIT) reads and writes the headers here: the format with its extension, and the broadcast
 * extension. The samples don't go through it: packing five minutes of stereo at 24 bit took it 8.3 s, against 0.6 s for
 * the loops in wav-samples.ts.
 */

/** What the header says about the samples. */
export interface WavHeader {
  channels: number;
  sampleRate: number;
  /** Bytes of one sample of one channel. */
  sampleBytes: number;
  float: boolean;
  channelMask: number;
  bext?: BroadcastInfo;
}

const PCM = 1;
const FLOAT = 3;
const EXTENSIBLE = 0xfffe;
/** Fixed part of a bext chunk, before the coding history (EBU Tech 3285). */
const BEXT_FIXED_BYTES = 602;
/** Loudness fields are hundredths; this value means "not stated" (EBU Tech 3285 v2, from memory). */
const LOUDNESS_UNUSED = 0x7fff;
const WORD = 2 ** 32;

/** Reads the 'fmt ' and 'bext' chunks; throws AudioFileError where they don't make sense. */
export function readWavHeader(bytes: Uint8Array, fmt: Chunk, bext: Chunk | undefined): WavHeader {
  const file = new wavefile.WaveFile();
  const withBext = bext !== undefined && bext.size >= BEXT_FIXED_BYTES && bext.start + bext.size <= bytes.length;
  try {
    file.fromBuffer(headersOnly(bytes, fmt, withBext ? bext : undefined), false);
  } catch {
    throw new AudioFileError('The WAV header is damaged; export the file again.');
  }
  const { audioFormat, numChannels, sampleRate, blockAlign, bitsPerSample } = file.fmt;
  // The extensible format names the real one in the first word of its GUID.
  const format = audioFormat === EXTENSIBLE ? file.fmt.subformat[0] & 0xffff : audioFormat;
  if (format !== PCM && format !== FLOAT) {
    throw new AudioFileError(`It holds compressed sound (WAV format ${format}); export it as PCM or float.`);
  }
  checkShape(numChannels, sampleRate);
  const sampleBytes = blockAlign / numChannels;
  const known = format === FLOAT ? [4, 8] : [1, 2, 3, 4];
  if (!known.includes(sampleBytes) || bitsPerSample < 1 || bitsPerSample > 8 * sampleBytes) {
    throw new AudioFileError(
      `Its header states samples of ${bitsPerSample} bits in frames of ${blockAlign} bytes, which doesn't fit; export it again.`,
    );
  }
  return {
    channels: numChannels,
    sampleRate,
    sampleBytes,
    float: format === FLOAT,
    channelMask: audioFormat === EXTENSIBLE ? file.fmt.dwChannelMask : 0,
    ...(withBext ? { bext: broadcastInfo(file.bext) } : {}),
  };
}

/** A small file of just these chunks, so that the library meets nothing it could trip over. */
function headersOnly(bytes: Uint8Array, fmt: Chunk, bext: Chunk | undefined): Uint8Array {
  const chunk = (id: string, body: Uint8Array) => {
    const size = body.length + (body.length % 2);
    const out = new Uint8Array(8 + size);
    out.set([...id].map((letter) => letter.charCodeAt(0)));
    new DataView(out.buffer).setUint32(4, body.length, true);
    out.set(body, 8);
    return out;
  };
  const fmtBody = new Uint8Array(Math.min(Math.max(fmt.size, 16), 40));
  fmtBody.set(bytes.subarray(fmt.start, fmt.start + Math.min(fmt.size, fmtBody.length)));
  const parts = [chunk('fmt ', fmtBody)];
  if (bext) parts.push(chunk('bext', bytes.subarray(bext.start, bext.start + bext.size)));
  parts.push(chunk('data', new Uint8Array(0)));
  const form = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 4));
  form.set([0x57, 0x41, 0x56, 0x45]);
  let at = 4;
  for (const part of parts) {
    form.set(part, at);
    at += part.length;
  }
  return chunk('RIFF', form);
}

function broadcastInfo(bext: WaveBroadcastExtension): BroadcastInfo {
  const text = (value: string) => value.split('\0', 1)[0];
  const info: BroadcastInfo = {
    description: text(bext.description),
    originator: text(bext.originator),
    originatorReference: text(bext.originatorReference),
    date: text(bext.originationDate),
    time: text(bext.originationTime),
    timeReference: bext.timeReference[0] + bext.timeReference[1] * WORD,
    codingHistory: text(bext.codingHistory),
  };
  if (bext.version >= 2) {
    const hundredths = (value: number) => (value === LOUDNESS_UNUSED ? undefined : ((value << 16) >> 16) / 100);
    const loudness: BroadcastLoudness = {};
    const put = (key: keyof BroadcastLoudness, value: number) => {
      const stated = hundredths(value);
      if (stated !== undefined) loudness[key] = stated;
    };
    put('integrated', bext.loudnessValue);
    put('range', bext.loudnessRange);
    put('truePeak', bext.maxTruePeakLevel);
    put('momentary', bext.maxMomentaryLoudness);
    put('shortTerm', bext.maxShortTermLoudness);
    info.loudness = loudness;
  }
  return info;
}

/** The bytes before the samples, with a data size of 0 in the last four: the writer fills in both sizes. */
export function wavHeaderBytes(audio: AudioData, bits: 16 | 24 | 'float', frames: number): Uint8Array {
  const channels = audio.channels.length;
  const file = new wavefile.WaveFile();
  // The library's own word for 32 bit float.
  file.fromScratch(channels, audio.sampleRate, bits === 'float' ? '32f' : String(bits), []);
  if (channels > 2) {
    // The library lays the extensible header out, but calls it plain PCM and of whole numbers whatever it is.
    file.fmt.audioFormat = EXTENSIBLE;
    if (audio.channelMask) file.fmt.dwChannelMask = audio.channelMask;
    if (bits === 'float') file.fmt.subformat[0] = FLOAT;
  }
  if (bits === 'float') file.fact = { chunkId: 'fact', chunkSize: 4, dwSampleLength: frames };
  if (audio.bext) setBroadcastInfo(file.bext, audio.bext);
  return file.toBuffer();
}

function setBroadcastInfo(bext: WaveBroadcastExtension, info: BroadcastInfo): void {
  // Fixed fields of ASCII: anything else would take more bytes than characters and shift what follows.
  const text = (value: string | undefined, length: number) =>
    (value ?? '').replace(/[^\x20-\x7e\r\n]/g, '?').slice(0, length);
  bext.description = text(info.description, 256);
  bext.originator = text(info.originator, 32);
  bext.originatorReference = text(info.originatorReference, 32);
  bext.originationDate = text(info.date, 10);
  bext.originationTime = text(info.time, 8);
  const reference = Math.max(0, Math.round(info.timeReference ?? 0));
  bext.timeReference = [reference % WORD, Math.floor(reference / WORD)];
  bext.codingHistory = text(info.codingHistory, 65_536);
  bext.version = info.loudness ? 2 : 1;
  if (info.loudness) {
    const hundredths = (value: number | undefined) =>
      value === undefined || !Number.isFinite(value) ? LOUDNESS_UNUSED : Math.round(value * 100) & 0xffff;
    bext.loudnessValue = hundredths(info.loudness.integrated);
    bext.loudnessRange = hundredths(info.loudness.range);
    bext.maxTruePeakLevel = hundredths(info.loudness.truePeak);
    bext.maxMomentaryLoudness = hundredths(info.loudness.momentary);
    bext.maxShortTermLoudness = hundredths(info.loudness.shortTerm);
  }
}
