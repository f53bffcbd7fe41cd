/** Levels straight from the samples: peaks, RMS, crest factor and DC. Full scale is ±1. */
import type { Decibels } from './units.ts';
import { gainToDb, powerToDb } from './units.ts';

/** Linear figures over all channels; all 0 for an empty recording. */
export interface SampleLevels {
  /** Largest absolute sample. */
  readonly samplePeak: number;
  /** Largest sample, at least 0. */
  readonly positivePeak: number;
  /** Size of the lowest sample, at least 0. */
  readonly negativePeak: number;
  /** Mean of x² over all samples of all channels, DC included. */
  readonly meanSquare: number;
  /** Mean of the channel whose mean is largest in size, with its sign. */
  readonly dc: number;
  /** How many samples were NaN or infinite; they count as 0. */
  readonly notFinite: number;
}

/**
 * AES17 takes the RMS of a full-scale sine as 0 dBFS, which is 10·log10 2 above plain 20·log10 RMS. Tools that don't
 * follow it read 3.01 dB lower.
 */
export const AES17_OFFSET_DB: Decibels = 10 * Math.log10(2);

/** One pass over all samples of all channels. */
export function measureLevels(channels: readonly Float32Array[]): SampleLevels {
  let highest = 0;
  let lowest = 0;
  let squares = 0;
  let dc = 0;
  let notFinite = 0;
  let count = 0;
  for (const data of channels) {
    let sum = 0;
    for (let i = 0; i < data.length; i++) {
      let x = data[i];
      if (x - x !== 0) {
        x = 0;
        notFinite++;
      }
      sum += x;
      squares += x * x;
      if (x > highest) highest = x;
      if (x < lowest) lowest = x;
    }
    count += data.length;
    if (data.length > 0 && Math.abs(sum / data.length) > Math.abs(dc)) dc = sum / data.length;
  }
  return {
    samplePeak: Math.max(highest, -lowest),
    positivePeak: highest,
    negativePeak: -lowest,
    meanSquare: count === 0 ? 0 : squares / count,
    dc,
    notFinite,
  };
}

/** RMS by AES17: a full-scale sine is 0 dBFS, a full-scale square wave +3.01 dBFS; −Infinity for silence. */
export function rmsDbfs(meanSquare: number): Decibels {
  return powerToDb(meanSquare) + AES17_OFFSET_DB;
}

/**
 * Crest factor: peak over true RMS, so a square wave has 0 dB and a sine 3.01 dB. With AES17 levels it is
 * peak − RMS + 3.01. Over several channels it is the largest peak over the RMS of all of them, so a dead channel adds
 * to it. NaN for silence.
 */
export function crestFactorDb(peak: number, meanSquare: number): Decibels {
  return gainToDb(peak) - powerToDb(meanSquare);
}
