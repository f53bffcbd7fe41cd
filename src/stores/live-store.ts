/** What the live analyser is told and what it shows. Plain data. */

import type { Decibels, Hertz, Seconds } from '../dsp/units.ts';
import { powerToDb } from '../dsp/units.ts';
import type { WindowName } from '../dsp/windows.ts';
import type { Observable } from './observable.ts';

export interface AnalyserSettings {
  /** FFT points, a power of two from 4096 to 65536; `auto` takes long ones for lows and short ones for highs. */
  readonly points: 4096 | 8192 | 16384 | 32768 | 65536 | 'auto';
  readonly window: WindowName;
  /** Time constant of the power average. */
  readonly averageSeconds: Seconds;
  readonly peakHold: boolean;
  /** `peak`: a sine reads its peak level. `density`: noise reads dBFS in 1 Hz. */
  readonly scale: 'peak' | 'density';
}

export const DEFAULT_ANALYSER: AnalyserSettings = {
  points: 'auto',
  window: 'blackmanHarris4',
  averageSeconds: 0.4,
  peakHold: false,
  scale: 'peak',
};

/** The strongest tone of the coloured side and its harmonics, as the spectrum shows them. */
export interface StrongestTone {
  readonly hz: Hertz;
  readonly dbfs: Decibels;
  /** Harmonics 2 to 10 below 20 kHz: frequency and level against the tone. */
  readonly harmonics: readonly { readonly n: number; readonly hz: Hertz; readonly dbc: Decibels }[];
}

/** One look at the lowest octaves, 0.5 to 60 Hz, resolved to a fraction of a hertz. */
export interface LowBand {
  /** Linear, Hz. */
  readonly frequencies: Float32Array;
  readonly clean: Float32Array;
  readonly coloured: Float32Array;
  readonly added: Float32Array;
  /** Seconds of sound the look needs; until then the band is null. */
  readonly seconds: Seconds;
}

/** Live figures of the selected rack's output. −200 stands for nothing. */
export interface LiveFrame {
  readonly rackId: string;
  /** Frequencies of the spectrum points, Hz, logarithmic from 20 to 20000. */
  readonly frequencies: Float32Array;
  /** dBFS per point. */
  readonly clean: Float32Array;
  readonly coloured: Float32Array;
  readonly added: Float32Array;
  /** Largest values since the hold was switched on; null without hold. */
  readonly cleanHold: Float32Array | null;
  readonly colouredHold: Float32Array | null;
  /** DC of both sides, dBFS, measured apart from the spectrum. */
  readonly cleanDcDbfs: Decibels;
  readonly colouredDcDbfs: Decibels;
  /** What asymmetry makes of the envelope: added power from 0.5 to 15 Hz, dBFS (AES17); null until measured. */
  readonly slowProductsDbfs: Decibels | null;
  readonly lowBand: LowBand | null;
  readonly tone: StrongestTone | null;
  /** The same while it stands out with its harmonics, held so that it doesn't flicker; null in a mix of tones. */
  readonly standingTone: StrongestTone | null;
  /** Sample peaks since the last frame, dBFS. */
  readonly cleanPeakDbfs: Decibels;
  readonly colouredPeakDbfs: Decibels;
  /** The settings that this is of, as a number that changes with them. */
  readonly settings: number;
  /** Blocks that never came since the start. They are in no picture: each spectrum waits for a whole stretch. */
  readonly missedBlocks: number;
  /** True while a part of the picture is older than the last gap. */
  readonly waiting: boolean;
  /** True once the sound has stopped: the picture stays as it was last. */
  readonly stopped: boolean;
}

/** Where a block of taps belongs. */
export interface BlockStamp {
  /** Frames since the engine's start at the block's first sample: a jump is a gap. */
  readonly at: number;
  /** The settings that it was made with. */
  readonly settings: number;
}

export const NOTHING_DBFS = -200;

/** A squared peak as dBFS, never below nothing. */
export function levelDbfs(power: number): Decibels {
  return Math.max(NOTHING_DBFS, powerToDb(power));
}

export interface LiveStore extends Observable {
  readonly settings: AnalyserSettings;
  configure(settings: AnalyserSettings): void;
  /** Calls `listener` for each frame outside any render cycle, and with null when none is of what stands here. */
  onFrame(listener: (frame: LiveFrame | null) => void): () => void;
  readonly latest: LiveFrame | null;
  /** Why there will be no frame any more: a sentence that says what to do; null while there may be. */
  readonly fault: string | null;
}
