import { readFileSync, statSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { PARTS, renderPart } from '../../samples/demo.ts';
import { loudPassages, samplePeak } from '../../samples/levels.ts';
import { LOOP_FRAMES } from '../../samples/models/loop.ts';
import { BASS_CLARINET, frequencyOf, MELODICA, notesOf, UPRIGHT_BASS } from '../../samples/score.ts';
import { truePeak } from '../../src/dsp/true-peak.ts';
import { gainToDb } from '../../src/dsp/units.ts';
import { readFlac } from '../../src/files/flac.ts';
import { largestDifference } from './sound.ts';

const pathOf = (name: string) => fileURLToPath(new URL(`../../samples/audio/${name}.flac`, import.meta.url));
const decoded = new Map<string, ReturnType<typeof readFlac>>();
function load(name: string): ReturnType<typeof readFlac> {
  const file = decoded.get(name) ?? readFlac(new Uint8Array(readFileSync(pathOf(name))));
  decoded.set(name, file);
  return file;
}
/** One step of the 17 bits that the files keep. */
const STEP = 2 ** -16;

function largestStep(samples: Float32Array, from: number, to: number): number {
  let largest = 0;
  for (let i = from; i < to; i++) largest = Math.max(largest, Math.abs(samples[i + 1] - samples[i]));
  return largest;
}

describe('each committed file', () => {
  for (const part of PARTS) {
    it(`${part.name} is what the script makes`, async () => {
      const file = await load(part.name);
      const made = renderPart(part);
      expect(file.channels.length).toBe(made.channels.length);
      // Another engine's sines may differ in their last bit, which now and then moves a rounding by one step.
      made.channels.forEach((channel, index) => {
        expect(largestDifference(channel, file.channels[index])).toBeLessThanOrEqual(2 * STEP);
      });
    });

    it(`${part.name} is level-realistic, without DC and without a seam`, async () => {
      const { channels, sampleRate, bits } = await load(part.name);
      expect([sampleRate, bits]).toEqual([48_000, 24]);
      const loud = loudPassages(channels.map((channel) => Float64Array.from(channel)));
      expect(loud).toBeGreaterThan(part.name === 'shaker' ? -31 : -21);
      expect(loud).toBeLessThan(-17);
      for (const channel of channels) {
        expect(channel.length).toBe(LOOP_FRAMES);
        expect(gainToDb(channel.reduce((sum, v) => sum + v, 0) / LOOP_FRAMES)).toBeLessThan(-90);
        expect(truePeak([channel], sampleRate).dbtp).toBeLessThan(-1);
        // From the last sample to the first: no larger than the steps of the half second round it.
        const seam = Math.abs(channel[0] - channel[LOOP_FRAMES - 1]);
        expect(seam).toBeLessThan(
          Math.max(largestStep(channel, 0, 12_000), largestStep(channel, LOOP_FRAMES - 12_000, LOOP_FRAMES - 1)),
        );
        // A quiet room, not digital silence: even the quietest tenth of a second has its noise.
        let quietest = Number.POSITIVE_INFINITY;
        for (let at = 0; at < LOOP_FRAMES; at += 4800) {
          quietest = Math.min(
            quietest,
            Math.sqrt(channel.subarray(at, at + 4800).reduce((s, v) => s + v * v, 0) / 4800),
          );
        }
        expect(gainToDb(quietest)).toBeGreaterThan(-90);
      }
    });
  }
});

/** How far the loudest repetition near the wanted period is from it, cents: autocorrelation. */
function centsOff(samples: Float32Array, frequency: number): number {
  const period = 48_000 / frequency;
  const correlation = (lag: number) => {
    let sum = 0;
    for (let i = 0; i + lag < samples.length; i++) sum += samples[i] * samples[i + lag];
    return sum / (samples.length - lag);
  };
  // Over several periods, so that a whole sample is a small part of them, but no more than 20: one period up or down
  // then lies outside the 2 % that are looked at.
  const periods = Math.min(20, Math.max(1, Math.floor(samples.length / 4 / period)));
  const lags = Array.from({ length: 81 }, (_, k) => Math.round(periods * period * (1 + (k - 40) / 2000)));
  const values = lags.map(correlation);
  const best = values.indexOf(Math.max(...values));
  return 1200 * Math.log2((periods * period) / lags[best]);
}

describe('the pitched parts play the score', () => {
  for (const [name, part] of [
    ['melodica', MELODICA],
    ['bass-clarinet', BASS_CLARINET],
    ['upright-bass', UPRIGHT_BASS],
  ]) {
    it(`${name}, every long note within 20 cents`, async () => {
      const [channel] = (await load(name)).channels;
      const long = notesOf(part).filter((note) => note.length > 0.5);
      expect(long.length).toBeGreaterThan(12);
      for (const note of long) {
        const from = Math.round((note.start + 0.1) * 48_000);
        const middle = channel.subarray(from, Math.round((note.start + note.length - 0.05) * 48_000));
        expect(Math.abs(centsOff(middle, frequencyOf(note.pitch)))).toBeLessThan(20);
      }
    });
  }
});

describe('all together', () => {
  it('take less than 10 MB and stay below full scale at unity gain', async () => {
    expect(PARTS.reduce((sum, { name }) => sum + statSync(pathOf(name)).size, 0)).toBeLessThan(10e6);
    const mix = [new Float64Array(LOOP_FRAMES), new Float64Array(LOOP_FRAMES)];
    for (const { name } of PARTS) {
      const { channels } = await load(name);
      mix.forEach((side, index) => {
        const channel = channels[Math.min(index, channels.length - 1)];
        for (let i = 0; i < LOOP_FRAMES; i++) side[i] += channel[i];
      });
    }
    expect(samplePeak(mix)).toBeLessThan(0);
  });
});
