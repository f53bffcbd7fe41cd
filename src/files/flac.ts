import { type AudioData, checkShape, framesToWrite, type Random } from './audio-data.ts';
import { AudioFileError } from './audio-file-error.ts';
import { flacBroadcastInfo } from './flac-comments.ts';
import { completeStreamInfo, loadFlacLibrary, type StreamInfo } from './flac-library.ts';
import { quantise } from './quantise.ts';

/** How a FLAC is to be written. */
export interface FlacOptions {
  bits: 16 | 24;
  /** Seeded random numbers for triangular dither; used at 16 bit only, as in a WAV. */
  dither?: Random;
  /** Effort of 0 to 8; the sound is the same. */
  level?: 0 | 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8;
  /** Told how many samples didn't fit and were limited. */
  onOvers?: (overs: number) => void;
}

const MAX_FLAC_CHANNELS = 8;
/** The library takes rates up to this and refuses others. */
const MAX_FLAC_RATE = 655_350;
const BLOCK = 4096;
/** Of 12 and 20 bits the library returns a jumble (it counts one and a half bytes a sample). */
const READABLE_BITS = [8, 16, 24];

/**
 * Reads a FLAC of 8, 16 or 24 bits exactly; the checksum of the whole sound is verified where the file has one.
 *
 * @throws AudioFileError for anything that is not such a file, or not all of it.
 */
export async function readFlac(bytes: Uint8Array): Promise<AudioData> {
  if (bytes.length === 0) throw new AudioFileError('The file is empty; copy it again from its source.');
  const flac = await loadFlacLibrary();
  const decoder = flac.create_libflac_decoder(true);
  if (decoder === 0) throw new AudioFileError('There is not enough memory to read it; close other sessions first.');
  const blocks: Float32Array[][] = [];
  let shape = { channels: 0, sampleRate: 0, bits: 0 };
  let stated = 0;
  let frames = 0;
  let damaged = false;
  let at = 0;
  const read = (wanted: number) => {
    const buffer = bytes.subarray(at, at + wanted);
    at += buffer.length;
    return { buffer, readDataLength: buffer.length, error: false };
  };
  try {
    flac.init_decoder_stream(
      decoder,
      read,
      (data, info) => {
        const { channels, sampleRate, bitsPerSample: bits, blocksize } = info;
        if (frames === 0) shape = { channels, sampleRate, bits };
        if (channels !== shape.channels || sampleRate !== shape.sampleRate || bits !== shape.bits) damaged = true;
        if (damaged || !READABLE_BITS.includes(bits)) return;
        blocks.push(data.map((block) => fromBytes(block, blocksize, bits)));
        frames += blocksize;
      },
      () => {
        damaged = true;
      },
      (info) => {
        if (info) stated = info.total_samples;
      },
    );
    const ended = flac.FLAC__stream_decoder_process_until_end_of_stream(decoder);
    // Finishing compares the MD5 of what was decoded with the one in the header.
    const verified = flac.FLAC__stream_decoder_finish(decoder);
    damaged ||= !ended || !verified;
  } finally {
    flac.FLAC__stream_decoder_delete(decoder);
  }
  if (shape.bits !== 0 && !READABLE_BITS.includes(shape.bits)) {
    throw new AudioFileError(`It is a FLAC of ${shape.bits} bits, which is not read here; save it with 16 or 24 bits.`);
  }
  if (frames === 0) throw new AudioFileError('No FLAC sound was found in it; export it again as FLAC or WAV.');
  if (damaged || (stated > 0 && stated !== frames)) {
    throw new AudioFileError('The FLAC is damaged or breaks off; copy it again from its source.');
  }
  checkShape(shape.channels, shape.sampleRate);
  const bext = flacBroadcastInfo(bytes);
  return {
    channels: Array.from({ length: shape.channels }, (_, channel) => joined(blocks, channel, frames)),
    sampleRate: shape.sampleRate,
    bits: shape.bits as 8 | 16 | 24,
    ...(bext ? { bext } : {}),
  };
}

/** The library's bytes of one channel's block: 24 bits come as four bytes a sample, 16 and 8 as two. */
function fromBytes(block: Uint8Array, length: number, bits: number): Float32Array {
  const view = new DataView(block.buffer, block.byteOffset, block.byteLength);
  const out = new Float32Array(length);
  const scale = 2 ** (1 - bits);
  if (bits === 24) for (let i = 0; i < length; i++) out[i] = view.getInt32(4 * i, true) * scale;
  else for (let i = 0; i < length; i++) out[i] = view.getInt16(2 * i, true) * scale;
  return out;
}

function joined(blocks: Float32Array[][], channel: number, frames: number): Float32Array {
  const out = new Float32Array(frames);
  let at = 0;
  for (const block of blocks) {
    out.set(block[channel], at);
    at += block[channel].length;
  }
  return out;
}

/**
 * Writes a FLAC of 16 or 24 bits, with the length, the block sizes and the MD5 of the sound in its header.
 *
 * @throws AudioFileError if there is nothing to write or FLAC can't hold it.
 */
export async function writeFlac(
  audio: AudioData,
  { bits, dither, level = 5, onOvers }: FlacOptions,
): Promise<Uint8Array> {
  const frames = framesToWrite(audio);
  const count = audio.channels.length;
  if (count > MAX_FLAC_CHANNELS || audio.sampleRate > MAX_FLAC_RATE || audio.sampleRate % 1 !== 0) {
    throw new AudioFileError(`FLAC can't hold ${count} channels at ${audio.sampleRate} Hz; write a WAV.`);
  }
  const flac = await loadFlacLibrary();
  let overs = 0;
  const channels = audio.channels.map((channel) => {
    const quantised = quantise(channel, bits, bits === 16 ? dither : undefined);
    overs += quantised.overs;
    return quantised.samples;
  });
  const encoder = flac.create_libflac_encoder(audio.sampleRate, count, bits, level, frames, false, BLOCK);
  const refuse = () => new AudioFileError('The FLAC encoder refused the sound; write a WAV.');
  if (encoder === 0) throw refuse();
  const parts: Uint8Array[] = [];
  let streamInfo: StreamInfo | undefined;
  try {
    const status = flac.init_encoder_stream(
      encoder,
      (data) => {
        parts.push(data);
      },
      (info) => {
        streamInfo = info;
      },
    );
    if (status !== 0) throw refuse();
    for (let at = 0; at < frames; at += BLOCK) {
      const end = Math.min(at + BLOCK, frames);
      const block = channels.map((channel) => channel.subarray(at, end));
      if (!flac.FLAC__stream_encoder_process(encoder, block, end - at)) throw refuse();
    }
    if (!flac.FLAC__stream_encoder_finish(encoder)) throw refuse();
  } finally {
    flac.FLAC__stream_encoder_delete(encoder);
  }
  onOvers?.(overs);
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  if (streamInfo) completeStreamInfo(bytes, streamInfo);
  return bytes;
}
