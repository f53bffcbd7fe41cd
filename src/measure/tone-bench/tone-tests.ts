/** Tests of one sine: the tone, both sweeps and the floor. */
import type { Decibels, Hertz } from '../../dsp/units.ts';
import { orNull, powerToDb } from '../../dsp/units.ts';
import type { BenchJob } from './bench-job.ts';
import { blankResult, gainOf, SMALL_DBFS, toneOf } from './bench-job.ts';
import type { BenchPoint, BenchResult } from './result.ts';
import { toneFigures } from './tone-figures.ts';
import { coherentTone, windowFor } from './window.ts';

const TONE_SECONDS = 0.5;
const LEVEL_SWEEP_SECONDS = 0.25;

export function* toneTest(job: BenchJob): Generator<void, BenchResult> {
  const { frequency, level } = job.values;
  const { sampleRate } = job.spec;
  const size = windowFor(TONE_SECONDS, sampleRate);
  const tone = coherentTone(frequency, level, sampleRate, size);
  const small = coherentTone(frequency, SMALL_DBFS, sampleRate, size);
  const { planes, settledDbc } = yield* job.steady.measure(job.spec.rack, [tone.samples, small.samples]);
  const figures = toneFigures(planes[0], sampleRate, tone.hz);
  yield;
  const weak = toneFigures(planes[1], sampleRate, small.hz);
  return {
    ...blankResult(job, size, settledDbc),
    ...figures,
    tones: [toneOf(tone, figures.fundamentalDbfs)],
    gainDb: gainOf(figures.fundamentalDbfs, tone.dbfs),
    smallSignalGainDb: gainOf(weak.fundamentalDbfs, small.dbfs),
  };
}

export function* levelSweep(job: BenchJob): Generator<void, BenchResult> {
  const { frequency, from, to, step } = job.values;
  const levels: Decibels[] = [];
  for (let i = 0; from + i * step < to - 1e-9; i++) levels.push(from + i * step);
  const size = windowFor(LEVEL_SWEEP_SECONDS, job.spec.sampleRate);
  return yield* sweep(
    job,
    size,
    [...levels, to].map((level) => ({ hz: frequency, level })),
  );
}

export function* frequencySweep(job: BenchJob): Generator<void, BenchResult> {
  const { level, lowest, highest, points } = job.values;
  const last = Math.log2(highest / lowest) * points;
  const frequencies: Hertz[] = [];
  for (let i = 0; i < last - 1e-9; i++) frequencies.push(lowest * 2 ** (i / points));
  const size = windowFor(TONE_SECONDS, job.spec.sampleRate);
  return yield* sweep(
    job,
    size,
    [...frequencies, highest].map((hz) => ({ hz, level })),
  );
}

interface Wanted {
  readonly hz: Hertz;
  readonly level: Decibels;
}

/** Two points at a time, since a rack treats its two planes apart. */
function* sweep(job: BenchJob, size: number, wanted: readonly Wanted[]): Generator<void, BenchResult> {
  const { rack, sampleRate } = job.spec;
  const points: BenchPoint[] = [];
  let worst: Decibels | null = null;
  for (let at = 0; at < wanted.length; at += 2) {
    const tones = wanted.slice(at, at + 2).map(({ hz, level }) => coherentTone(hz, level, sampleRate, size));
    const { planes, settledDbc } = yield* job.steady.measure(
      rack,
      tones.map(({ samples }) => samples),
    );
    if (settledDbc !== null && (worst === null || settledDbc > worst)) worst = settledDbc;
    for (let i = 0; i < tones.length; i++) {
      const figures = toneFigures(planes[i], sampleRate, tones[i].hz);
      const { hz, dbfs } = tones[i];
      points.push({ ...figures, hz, levelDbfs: dbfs, gainDb: gainOf(figures.fundamentalDbfs, dbfs) });
      yield;
    }
  }
  return { ...blankResult(job, size, worst), points };
}

/** Sines at the operating level whose aliases the floor test lists, as far as the rate holds them. */
const ALIAS_TONES: readonly Hertz[] = [1000, 2500, 5000, 7000, 10_000];

/**
 * Silence, a weak sine, and sines at the operating level. `aliasDbc` is the worst of the latter; `fundamentalDbfs`,
 * harmonics and DC are the weak sine's.
 */
export function* floorTest(job: BenchJob): Generator<void, BenchResult> {
  const { frequency, level } = job.values;
  const { rack, sampleRate, alignmentDbfs } = job.spec;
  const size = windowFor(TONE_SECONDS, sampleRate);
  const tone = coherentTone(frequency, level, sampleRate, size);
  const { planes, settledDbc } = yield* job.steady.measure(rack, [tone.samples, new Float64Array(size)]);
  const figures = toneFigures(planes[0], sampleRate, tone.hz);
  yield;
  const small = coherentTone(frequency, SMALL_DBFS, sampleRate, size);
  const wanted = ALIAS_TONES.filter((hz) => hz < 0.45 * sampleRate);
  const aliasTones = wanted.map((hz) => coherentTone(hz, alignmentDbfs, sampleRate, size));
  const all = [small, ...aliasTones];
  const measured: { hz: Hertz; dbc: Decibels | null; outDbfs: Decibels | null }[] = [];
  for (let at = 0; at < all.length; at += 2) {
    const pair = all.slice(at, at + 2);
    const { planes: out } = yield* job.steady.measure(
      rack,
      pair.map(({ samples }) => samples),
    );
    for (let i = 0; i < pair.length; i++) {
      const { aliasDbc, fundamentalDbfs } = toneFigures(out[i], sampleRate, pair[i].hz);
      measured.push({ hz: pair[i].hz, dbc: aliasDbc, outDbfs: fundamentalDbfs });
      yield;
    }
  }
  const [weak, ...aliases] = measured;
  const { aliasDbc, fundamentalDbfs } = figures;
  return {
    ...blankResult(job, size, settledDbc),
    ...figures,
    aliasDbc: aliases.reduce<Decibels | null>(
      (a, { dbc }) => (a === null || (dbc !== null && dbc > a) ? dbc : a),
      null,
    ),
    tones: [toneOf(tone, fundamentalDbfs)],
    gainDb: gainOf(fundamentalDbfs, tone.dbfs),
    smallSignalGainDb: gainOf(weak.outDbfs, SMALL_DBFS),
    floor: {
      ...silenceFigures(planes[1]),
      noiseDbfs: aliasDbc === null || fundamentalDbfs === null ? null : aliasDbc + fundamentalDbfs,
      aliases: aliases.map(({ hz, dbc }) => ({ hz, dbc })),
    },
  };
}

/** DC, and the rest by AES17 (0 dBFS is the RMS of a full-scale sine). */
function silenceFigures(output: Float32Array): {
  silenceDcDbfs: Decibels | null;
  silenceNoiseDbfs: Decibels | null;
} {
  let sum = 0;
  for (const x of output) sum += x;
  const mean = sum / output.length;
  let squares = 0;
  for (const x of output) squares += (x - mean) ** 2;
  return {
    silenceDcDbfs: orNull(powerToDb(mean ** 2)),
    silenceNoiseDbfs: orNull(powerToDb((2 * squares) / output.length)),
  };
}
