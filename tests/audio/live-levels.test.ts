/**
 * Live and offline figures of one passage, through one code path: the engine's level taps against `measureLoudness` and
 * `measureLevels` of the same signals (our own offline code, which tests/standards checks against EBU and BS.1770).
 */
import { describe, expect, it } from 'vitest';
import { LiveLevels } from '../../src/audio/live-levels.ts';
import { measureLevels } from '../../src/dsp/levels.ts';
import { measureLoudness } from '../../src/dsp/loudness.ts';
import { truePeak } from '../../src/dsp/true-peak.ts';
import { gainToDb } from '../../src/dsp/units.ts';
import { EMPTY_RACK, MAX_BUSES, MAX_CHANNELS, type SessionConfig } from '../../src/engine/config.ts';
import { instantiateKernels } from '../../src/engine/kernels.ts';
import { SessionEngine } from '../../src/engine/session-engine.ts';
import { rack, stage } from '../support/rig.ts';

/** All of it with the settings as they are. */
const SETTLED = { settings: 1, missed: 0 };

/** Bursts of noise and tones whose level changes every 0.7 s, so that gates and windows have work. */
function passage(sampleRate: number, seconds: number, seed: number): Float32Array {
  let state = seed;
  return Float32Array.from({ length: Math.round(seconds * sampleRate) }, (_, i) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    const part = Math.floor(i / (0.7 * sampleRate));
    const level = 0.4 * 10 ** (-((part * 7 + seed) % 5) / 3);
    return level * (0.5 * Math.sin((2 * Math.PI * 220 * i) / sampleRate) + 0.5 * (state / 2 ** 31 - 1));
  });
}

const hot = () => rack([stage('soft-clip', { drive: 8, bias: 30 })], 0.9);
const config: SessionConfig = {
  alignmentDbfs: -18,
  a: {
    channels: [0, 1].map(() => ({ bus: 0, gain: 0.7, pan: 0, rack: EMPTY_RACK })),
    buses: [{ gain: 1, rack: EMPTY_RACK }],
    mix: EMPTY_RACK,
    outputGain: 1,
  },
  b: {
    channels: [0, 1].map(() => ({ bus: 0, gain: 0.7, pan: 0, rack: hot() })),
    buses: [{ gain: 1, rack: hot() }],
    mix: hot(),
    outputGain: 0.95,
  },
};

for (const sampleRate of [44100, 48000, 96000]) {
  describe(`live levels at ${sampleRate} Hz`, () => {
    const seconds = 7;
    const inputs = [
      [passage(sampleRate, seconds, 1)],
      [passage(sampleRate, seconds, 2), passage(sampleRate, seconds, 3)],
    ];
    const frames = inputs[0][0].length;
    const engine = new SessionEngine(instantiateKernels(), {
      sampleRate,
      factor: 4,
      alignmentDbfs: -18,
      maxChannels: MAX_CHANNELS,
      maxBuses: MAX_BUSES,
      levels: true,
    });
    engine.reset(config);
    engine.tap('bus', 0);
    const live = new LiveLevels();
    const out = [new Float32Array(frames), new Float32Array(frames)];
    const sideA = [new Float32Array(frames), new Float32Array(frames)];
    const sideB = [new Float32Array(frames), new Float32Array(frames)];
    const bus = [new Float32Array(frames), new Float32Array(frames)];
    // Block sizes as odd as hosts send them.
    for (let at = 0, n = 0; at < frames; n++) {
      const span = Math.min([128, 128, 37, 1, 96][n % 5], frames - at);
      engine.process(inputs, out, span, at, sideA, sideB);
      engine.readTap(1, bus, at, span);
      if (engine.levels?.advance(span)) live.take(engine.levels.report.slice().buffer, sampleRate, SETTLED);
      at += span;
    }

    it.each([
      ['the clean mix', () => live.of('mix', 'mix', 0)?.clean, () => sideA],
      ['the coloured mix', () => live.of('mix', 'mix', 0)?.coloured, () => sideB],
      ['a coloured bus', () => live.of('bus', 'bus', 0)?.coloured, () => bus],
    ])('agree with offline figures for %s', (_name, read, planes) => {
      const levels = read();
      // The last incomplete 100 ms is in no report.
      const until = Math.floor((frames * 10) / sampleRate) * (sampleRate / 10);
      const heard = planes().map((plane) => plane.subarray(0, until));
      const loudness = measureLoudness(heard, sampleRate);
      const peaks = measureLevels(heard);
      const difference = (levels?.integratedLufs ?? 99) - (loudness.integratedLufs as number);
      console.log(`integrated live less offline: ${difference.toFixed(4)} LU`);
      expect(Math.abs(difference)).toBeLessThan(0.05);
      expect(levels?.maxMomentaryLufs).toBeCloseTo(loudness.maxMomentaryLufs as number, 1);
      expect(levels?.maxShortTermLufs).toBeCloseTo(loudness.maxShortTermLufs as number, 1);
      expect(levels?.positivePeakDbfs).toBeCloseTo(gainToDb(peaks.positivePeak), 3);
      expect(levels?.negativePeakDbfs).toBeCloseTo(gainToDb(peaks.negativePeak), 3);
      expect(Math.abs((levels?.truePeakDbtp ?? 99) - truePeak(heard, sampleRate).dbtp)).toBeLessThan(0.05);
    });
  });
}

describe('live levels of nothing', () => {
  it('are not defined for silence and before three seconds of sound', () => {
    const engine = new SessionEngine(instantiateKernels(), {
      sampleRate: 48000,
      factor: 4,
      alignmentDbfs: -18,
      maxChannels: MAX_CHANNELS,
      maxBuses: MAX_BUSES,
      levels: true,
    });
    engine.reset(config);
    const live = new LiveLevels();
    expect(live.of('mix', 'mix', 0)).toBeNull();
    const out = [new Float32Array(128), new Float32Array(128)];
    for (let i = 0; i < 400; i++) {
      engine.process([], out, 128);
      if (engine.levels?.advance(128)) live.take(engine.levels.report.slice().buffer, 48000, SETTLED);
    }
    const levels = live.of('mix', 'mix', 0)?.coloured;
    expect(levels).toMatchObject({
      integratedLufs: null,
      shortTermLufs: null,
      truePeakDbtp: null,
      psrDb: null,
      plrDb: null,
    });
  });
});
