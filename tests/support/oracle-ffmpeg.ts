/** ffmpeg as a decoder and as an independent loudness meter. Optional: everything answers null without it. */
import { spawnSync } from 'node:child_process';
import { accessSync, chmodSync, constants, existsSync } from 'node:fs';
import { createRequire } from 'node:module';
import { delimiter, join } from 'node:path';

export interface Recording {
  readonly channels: Float32Array[];
  readonly sampleRate: number;
}

/** ffmpeg's ebur128 filter; values it doesn't print (silence) are −Infinity. */
export interface FfmpegLoudness {
  /** Three decimals. */
  readonly integratedLufs: number;
  readonly loudnessRangeLu: number;
  readonly maxMomentaryLufs: number;
  readonly maxShortTermLufs: number;
  /** One decimal. */
  readonly truePeakDbtp: number;
}

const MOST_BYTES = 1 << 30;

/** Path of an ffmpeg that can run: `FFMPEG_PATH`, one on the PATH, or the binary of the optional npm package. */
export function findFfmpeg(): string | null {
  if (found === undefined) found = candidates().find(runs) ?? null;
  return found;
}

let found: string | null | undefined;

function candidates(): string[] {
  const list = process.env.FFMPEG_PATH ? [process.env.FFMPEG_PATH] : [];
  for (const folder of (process.env.PATH ?? '').split(delimiter)) list.push(join(folder, 'ffmpeg'));
  try {
    const manifest = createRequire(import.meta.url).resolve('@ffmpeg-installer/linux-x64/package.json');
    list.push(join(manifest, '..', 'ffmpeg'));
  } catch {
    // The package is optional: it isn't there on other systems.
  }
  return list;
}

function runs(path: string): boolean {
  if (!existsSync(path)) return false;
  try {
    accessSync(path, constants.X_OK);
  } catch {
    // npm may have skipped the package's script that makes the binary executable.
    try {
      chmodSync(path, 0o755);
    } catch {
      return false;
    }
  }
  return spawnSync(path, ['-hide_banner', '-version']).status === 0;
}

function run(args: readonly string[], input?: Uint8Array): { out: Buffer; log: string } {
  const path = findFfmpeg();
  if (path === null) throw new Error('No ffmpeg was found; guard the test with skipIf(findFfmpeg() === null).');
  const result = spawnSync(path, ['-hide_banner', '-nostats', ...args], { input, maxBuffer: MOST_BYTES });
  if (result.status !== 0)
    throw new Error(`ffmpeg ${args.join(' ')} failed: ${result.stderr?.toString() ?? result.error}`);
  return { out: result.stdout, log: result.stderr.toString() };
}

/** Any audio file as 32-bit float channels at its own rate. */
export function decodeToFloat(path: string): Recording {
  const { out } = run(['-v', 'error', '-i', path, '-map', '0:a:0', '-c:a', 'pcm_f32le', '-f', 'wav', 'pipe:1']);
  let channelCount = 0;
  let sampleRate = 0;
  for (let at = 12; at + 8 <= out.length; ) {
    const name = out.toString('latin1', at, at + 4);
    const size = out.readUInt32LE(at + 4);
    if (name === 'fmt ') {
      channelCount = out.readUInt16LE(at + 10);
      sampleRate = out.readUInt32LE(at + 12);
    } else if (name === 'data') {
      // A pipe can't be rewound, so the size in the header may be a placeholder: the data reach to the end.
      return { channels: deinterleave(out.subarray(at + 8), channelCount), sampleRate };
    }
    at += 8 + size + (size % 2);
  }
  throw new Error(`ffmpeg made no audio of ${path}.`);
}

function deinterleave(bytes: Buffer, channelCount: number): Float32Array[] {
  const frames = Math.floor(bytes.length / (4 * channelCount));
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  return Array.from({ length: channelCount }, (_, c) =>
    Float32Array.from({ length: frames }, (_, i) => view.getFloat32(4 * (i * channelCount + c), true)),
  );
}

function interleave({ channels }: Recording): Uint8Array {
  const frames = channels[0].length;
  const data = new Float32Array(frames * channels.length);
  channels.forEach((channel, c) => {
    for (let i = 0; i < frames; i++) data[i * channels.length + c] = channel[i];
  });
  return new Uint8Array(data.buffer);
}

/** Layouts in the channel order of BS.1770-5, Table 3. */
const LAYOUTS: Readonly<Record<number, string>> = { 1: 'mono', 2: 'stereo', 5: '5.0', 6: '5.1' };

/**
 * Loudness of a file or of samples. One channel counts as playing on both sides of a stereo pair, as ours does.
 * ffmpeg measures at 48 kHz or resamples: feed it 48 kHz to compare filters.
 */
export function ebur128(source: string | Recording): FfmpegLoudness {
  const input =
    typeof source === 'string'
      ? ['-i', source]
      : ['-f', 'f32le', '-ar', `${source.sampleRate}`, '-ac', `${source.channels.length}`, '-i', 'pipe:0'];
  const layout = typeof source === 'string' ? [] : [`aformat=channel_layouts=${LAYOUTS[source.channels.length]}`];
  const filter = [...layout, 'ebur128=peak=true:metadata=1:dualmono=true', 'ametadata=print:file=-'].join(',');
  const { out, log } = run(
    [...input, '-map', '0:a:0', '-af', filter, '-f', 'null', '-'],
    typeof source === 'string' ? undefined : interleave(source),
  );
  const text = out.toString();
  return {
    integratedLufs: values(text, 'I').at(-1) ?? -Infinity,
    loudnessRangeLu: values(text, 'LRA').at(-1) ?? 0,
    maxMomentaryLufs: Math.max(...values(text, 'M')),
    maxShortTermLufs: Math.max(...values(text, 'S')),
    truePeakDbtp: Number(/True peak:\s+Peak:\s+(\S+) dBFS/.exec(log)?.[1].replace('inf', 'Infinity') ?? Number.NaN),
  };
}

function values(text: string, key: string): number[] {
  return [...text.matchAll(new RegExp(`lavfi\\.r128\\.${key}=(\\S+)`, 'g'))].map((match) => Number(match[1]));
}
