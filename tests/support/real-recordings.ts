/** The open recordings as samples, decoded once for each test file. */
import { resample } from '../../src/dsp/resample.ts';
import { decodeToFloat, findFfmpeg } from './oracle-ffmpeg.ts';
import { openRecordings } from './recordings.ts';

export interface RealRecording {
  readonly name: string;
  readonly planes: Float32Array[];
  readonly sampleRate: number;
}

const SECONDS = 10;
const decoded = new Map<string, RealRecording>();

/** Names of the recordings on this machine; none where there is no ffmpeg to decode them. */
export function recordingNames(): string[] {
  return findFfmpeg() === null
    ? []
    : openRecordings()
        .filter(({ available }) => available)
        .map(({ name }) => name);
}

/** One recording, at most its first ten seconds, at its own rate. */
export function realRecording(name: string): RealRecording {
  const known = decoded.get(name);
  if (known) return known;
  const recording = openRecordings().find((one) => one.name === name);
  if (!recording) throw new Error(`No recording is called ${name}.`);
  const { channels, sampleRate } = decodeToFloat(recording.path);
  const planes = channels.map((plane) => plane.slice(0, SECONDS * sampleRate));
  const result = { name, planes, sampleRate };
  decoded.set(name, result);
  return result;
}

const resampled = new Map<string, Float32Array[]>();

/** The same at another rate. */
export function realRecordingAt(name: string, rate: number): Float32Array[] {
  const key = `${name} at ${rate}`;
  const known = resampled.get(key);
  if (known) return known;
  const { planes, sampleRate } = realRecording(name);
  const result = planes.map((plane) => resample(plane, sampleRate, rate));
  resampled.set(key, result);
  return result;
}
