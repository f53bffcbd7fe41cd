import { RATE } from './models/loop.ts';

/** 400 ms, as the loudness meter's momentary window. */
const WINDOW = 0.4 * RATE;

/**
 * RMS of the loud passages, dB: the level that the loudest fifth of 400 ms windows exceed, of the louder channel.
 * In the AES17 sense, where a full-scale sine reads 0 dBFS: that is RMS + 3.01 dB.
 */
export function loudPassages(channels: Float64Array[]): number {
  const levels: number[] = [];
  for (let at = 0; at + WINDOW <= channels[0].length; at += WINDOW / 2) {
    const powers = channels.map((channel) => {
      let sum = 0;
      for (let i = at; i < at + WINDOW; i++) sum += channel[i] * channel[i];
      return sum / WINDOW;
    });
    levels.push(10 * Math.log10(2 * Math.max(...powers)));
  }
  levels.sort((a, b) => b - a);
  return levels[Math.floor(levels.length / 5)];
}

/** Highest sample, dBFS. */
export function samplePeak(channels: Float64Array[]): number {
  let peak = 0;
  for (const channel of channels) for (const value of channel) peak = Math.max(peak, Math.abs(value));
  return 20 * Math.log10(peak);
}

/** Multiplies all channels alike, by so many dB. */
export function gainBy(channels: Float64Array[], db: number): void {
  const gain = 10 ** (db / 20);
  for (const channel of channels) for (let i = 0; i < channel.length; i++) channel[i] *= gain;
}
