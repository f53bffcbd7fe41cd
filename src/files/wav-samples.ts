import type { WavHeader } from './wav-header.ts';

/** Reads one sample at a byte offset; full scale is ±1. */
function sampleReader(view: DataView, header: WavHeader): (at: number) => number {
  if (header.float) {
    return header.sampleBytes === 4 ? (at) => view.getFloat32(at, true) : (at) => view.getFloat64(at, true);
  }
  switch (header.sampleBytes) {
    case 1:
      // Eight bits alone are unsigned, with 128 for zero.
      return (at) => (view.getUint8(at) - 128) / 2 ** 7;
    case 2:
      return (at) => view.getInt16(at, true) / 2 ** 15;
    case 3:
      return (at) => (view.getUint16(at, true) | (view.getInt8(at + 2) << 16)) / 2 ** 23;
    default:
      return (at) => view.getInt32(at, true) / 2 ** 31;
  }
}

/** Interleaved bytes to one array a channel. NaN and infinities, which would poison any filter, become 0 and count. */
export function readSamples(
  data: Uint8Array,
  header: WavHeader,
  frames: number,
): { channels: Float32Array[]; notNumbers: number } {
  const read = sampleReader(new DataView(data.buffer, data.byteOffset, data.byteLength), header);
  const stride = header.channels * header.sampleBytes;
  let notNumbers = 0;
  const channels = Array.from({ length: header.channels }, (_, channel) => {
    const out = new Float32Array(frames);
    let at = channel * header.sampleBytes;
    for (let i = 0; i < frames; i++, at += stride) {
      // Rounded first: a 64-bit float beyond the 32-bit range becomes infinite only then.
      const value = Math.fround(read(at));
      if (Number.isFinite(value)) out[i] = value;
      else notNumbers++;
    }
    return out;
  });
  return { channels, notNumbers };
}

/** Writes one channel's whole numbers of 16 or 24 bits into the interleaved bytes. */
export function writeWholeNumbers(
  view: DataView,
  start: number,
  stride: number,
  samples: Int32Array,
  bits: 16 | 24,
): void {
  let at = start;
  if (bits === 16) {
    for (let i = 0; i < samples.length; i++, at += stride) view.setInt16(at, samples[i], true);
  } else {
    for (let i = 0; i < samples.length; i++, at += stride) {
      view.setInt16(at, samples[i], true);
      view.setInt8(at + 2, samples[i] >> 16);
    }
  }
}

/** Writes one channel's 32-bit floats into the interleaved bytes; returns how many were not numbers and became 0. */
export function writeFloats(view: DataView, start: number, stride: number, samples: Float32Array): number {
  let at = start;
  let notNumbers = 0;
  for (let i = 0; i < samples.length; i++, at += stride) {
    if (Number.isFinite(samples[i])) view.setFloat32(at, samples[i], true);
    else notNumbers++;
  }
  return notNumbers;
}
