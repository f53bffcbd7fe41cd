/** Test programmes of EBU Tech 3341 and 3342: stretches of one tone at given levels, and what they should read. */
import { kWeightingGainDb } from '../../src/dsp/k-weighting.ts';

/** Seconds and peak level in dBFS; null for silence. */
export type Stretch = readonly [seconds: number, level: number | null];

/** One channel: a steady 1 kHz sine (phase runs on) whose level is set by the stretches. */
export function programme(stretches: readonly Stretch[], sampleRate = 48_000, frequency = 1000): Float32Array {
  const ends: number[] = [];
  let seconds = 0;
  for (const [length] of stretches) ends.push(Math.round((seconds += length) * sampleRate));
  const samples = new Float32Array(ends.at(-1) ?? 0);
  let at = 0;
  stretches.forEach(([, level], stretch) => {
    const amplitude = level === null ? 0 : 10 ** (level / 20);
    for (; at < ends[stretch]; at++) {
      samples[at] = amplitude * Math.sin((2 * Math.PI * ((frequency * at) % sampleRate)) / sampleRate);
    }
  });
  return samples;
}

export function stereo(channel: Float32Array): Float32Array[] {
  return [channel, channel];
}

/** Energy of a level on a stereo pair, on the scale where 0 LUFS is 1: 2·(A²/2), moved by the K gain at the tone. */
function energy(level: number | null, frequency: number): number {
  return level === null ? 0 : 10 ** ((level + kWeightingGainDb(frequency, 48_000) - 0.691) / 10);
}

/**
 * Mean energies of all windows of `length` seconds, one each `hop` seconds, from the levels alone: no samples, no
 * filter. An independent statement of what a meter with an instant filter reads.
 */
function windowEnergies(stretches: readonly Stretch[], length: number, hop: number, frequency: number): number[] {
  const total = stretches.reduce((sum, [seconds]) => sum + seconds, 0);
  const energies: number[] = [];
  for (let k = 0; k * hop + length <= total + 1e-9; k++) {
    let sum = 0;
    let start = 0;
    for (const [seconds, level] of stretches) {
      const overlap = Math.min(k * hop + length, start + seconds) - Math.max(k * hop, start);
      if (overlap > 0) sum += overlap * energy(level, frequency);
      start += seconds;
    }
    energies.push(sum / length);
  }
  return energies;
}

const mean = (values: readonly number[]): number => values.reduce((sum, x) => sum + x, 0) / values.length;
const toDb = (power: number): number => 10 * Math.log10(power);

/** Gated loudness of the stretches by BS.1770-5's equations 3 to 7. */
export function expectedIntegrated(stretches: readonly Stretch[], frequency = 1000): number {
  const loud = windowEnergies(stretches, 0.4, 0.1, frequency).filter((e) => toDb(e) > -70);
  const gate = toDb(mean(loud)) - 10;
  return toDb(mean(loud.filter((e) => toDb(e) > gate)));
}

/** Loudest window of `length` seconds on a 10 ms grid. */
export function expectedMaximum(stretches: readonly Stretch[], length: number, frequency = 1000): number {
  return toDb(Math.max(...windowEnergies(stretches, length, 0.01, frequency)));
}
