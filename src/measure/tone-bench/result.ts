/** What the bench answers. Plain data without NaN or infinities: null is "not defined", and the field says when. */
import type { Harmonic } from '../../dsp/harmonics.ts';
import type { Decibels, Hertz } from '../../dsp/units.ts';
import type { BenchTestId } from './spec.ts';

/** A sum or difference product |m·f1 + n·f2|. */
export interface BenchProduct {
  /** "f2 − f1", "2f1 + f2", "3f1"; products that fall on one line are joined by " = ". */
  readonly label: string;
  readonly hz: Hertz;
  /** Level over the upper tone f2 at the rack's output. */
  readonly dbc: Decibels;
  /** |m| + |n|; the lowest where several fall on one line. */
  readonly order: number;
}

/** One tone of the test signal, where it was put and what came of it. */
export interface BenchTone {
  readonly hz: Hertz;
  /** Peak level at the rack's input and output. */
  readonly inDbfs: Decibels;
  readonly outDbfs: Decibels | null;
}

/** Figures of one sine. */
export interface ToneFigures {
  /** Peak level of the fundamental at the output; null if there is none. */
  readonly fundamentalDbfs: Decibels | null;
  /** Orders 2 to 20. Null from half the sample rate on; the phase also where the line isn't above `floorDbc`. */
  readonly harmonics: readonly Harmonic[];
  /** √(Σ harmonics²) over the fundamental, all harmonics below half the sample rate; null if there is room for none. */
  readonly thdFPercent: number | null;
  /** √(Σ harmonics²) over √(fundamental² + Σ harmonics²). */
  readonly thdRPercent: number | null;
  /** AES17 (from memory): everything from 20 Hz to 20 kHz but the fundamental, over that and the fundamental. */
  readonly thdNPercent: number | null;
  /** Power sum of the even harmonics over the fundamental. */
  readonly evenDbc: Decibels | null;
  readonly oddDbc: Decibels | null;
  /** Size of the mean: a constant of 1 is 0 dBFS. */
  readonly dcDbfs: Decibels | null;
  /** Power sum of all lines from 20 Hz to 20 kHz that no harmonic of any order has: aliases, and rounding noise. */
  readonly aliasDbc: Decibels | null;
  /** Noise lines rarely reach this (one in 65 536): a weaker line says nothing. */
  readonly floorDbc: Decibels | null;
}

export interface BenchPoint extends ToneFigures {
  readonly hz: Hertz;
  readonly levelDbfs: Decibels;
  /** Fundamental out over sine in. */
  readonly gainDb: Decibels | null;
}

export interface BenchFloor {
  /** Of the output for digital silence; null where that is digital silence too. */
  readonly silenceDcDbfs: Decibels | null;
  readonly silenceNoiseDbfs: Decibels | null;
  /** Everything between the weak tone's harmonics, 20 Hz to 20 kHz, as the level of a sine of the same power. */
  readonly noiseDbfs: Decibels | null;
  /** Alias level of sines at the operating level. */
  readonly aliases: readonly { readonly hz: Hertz; readonly dbc: Decibels | null }[];
}

/** One column of the stack table: the rack up to one of its stages, or the one stage beside it. */
export interface StackColumn {
  readonly kind: string;
  /** THD_F of the tone. */
  readonly thdFPercent: number | null;
  /** √(Σ of all products with both tones in them, to order 7) over f2. */
  readonly intermodulationPercent: number | null;
  /** Drive of the one stage, dB; null for the rack's own. */
  readonly driveDb: Decibels | null;
}

export interface StackRow {
  readonly label: string;
  readonly hz: Hertz;
  readonly order: number;
  /** One per column, over f2 of that column; null where nothing rises above the noise. */
  readonly dbc: readonly (Decibels | null)[];
}

export interface StackTable {
  /** After stage 1, 2, 3 …; the last is the one stage, if there is one. */
  readonly columns: readonly StackColumn[];
  /** Index of the one stage's column; null with the reason in `notes`. */
  readonly oneStage: number | null;
  /** Products above −90 dBc in at least one column, the strongest of the whole rack first. */
  readonly rows: readonly StackRow[];
  /**
   * What the two inputs do to each other: lines of F(a + b) − F(a) − F(b), "f1" and "f2" being what each loses or gains
   * by the other's presence, above −90 dBc. Levels over f2 in F(a + b).
   */
  readonly interaction: {
    readonly lines: readonly BenchProduct[];
    /** Power sum of all its lines but DC. */
    readonly totalDbc: Decibels | null;
    readonly dcDbfs: Decibels | null;
  };
}

export interface BenchResult extends ToneFigures {
  readonly test: BenchTestId;
  /** IEC 60268-3 (from memory); null but for `smpte`. */
  readonly dm2Percent: number | null;
  readonly dm3Percent: number | null;
  /** IEC 60268-3 (from memory); null but for `difference`. */
  readonly dd2Percent: number | null;
  readonly dd3Percent: number | null;
  /** Strongest first, to order 7, above −120 dBc (stack: −90) and above the noise, below half the sample rate. */
  readonly products: readonly BenchProduct[];
  /** Products from half the sample rate on whose aliases stand in the output, at the frequency they fold to. */
  readonly foldedProducts: readonly BenchProduct[];
  /** The test signal as it was: snapped frequencies. Empty for sweeps. */
  readonly tones: readonly BenchTone[];
  /** Gain of a tone of −100 dBFS at the test's (upper) frequency. */
  readonly smallSignalGainDb: Decibels | null;
  /** Fundamental out over sine in; null but for tests of one sine. */
  readonly gainDb: Decibels | null;
  /** Sweeps only. */
  readonly points: readonly BenchPoint[];
  readonly floor: BenchFloor | null;
  readonly stack: StackTable | null;
  readonly sampleRate: Hertz;
  readonly oversampling: 4 | 8;
  readonly alignmentDbfs: Decibels;
  /** The rack's match gain, which is in all levels. */
  readonly matchDb: Decibels;
  /** Length of the window that was analysed: whole periods of every tone. */
  readonly windowSamples: number;
  /** By how much the period before differed from the one analysed; null when not at all. */
  readonly settledDbc: Decibels | null;
  /** What the reader should know, one sentence each. */
  readonly notes: readonly string[];
}

export const NO_TONE: ToneFigures = {
  fundamentalDbfs: null,
  harmonics: [],
  thdFPercent: null,
  thdRPercent: null,
  thdNPercent: null,
  evenDbc: null,
  oddDbc: null,
  dcDbfs: null,
  aliasDbc: null,
  floorDbc: null,
};
