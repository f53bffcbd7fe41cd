/** The figures that the worker computes and the screen shows. What isn't defined is null, never NaN. */
import type { Decibels } from '../dsp/units.ts';
import type { ListeningGains } from '../render/listening-config.ts';
import type { Rack, RackId } from '../session/document.ts';
import type { Amplitudes } from './amplitudes.ts';

/** Figures of one signal over the match region; what isn't defined is null. */
export interface SideFigures {
  readonly integratedLufs: number | null;
  readonly truePeakDbtp: number | null;
  readonly positivePeakDbfs: number | null;
  readonly negativePeakDbfs: number | null;
  readonly plrDb: number | null;
  readonly dcDbfs: number | null;
  /** Peak reduction a limiter must do to bring the mix to −14 LUFS at −1 dBTP, dB; 0 when none is needed. */
  readonly limitingDb: number | null;
}

/** Further off, two sides aren't matched, LU. */
export const MATCH_TOLERANCE_LU = 0.1;

export interface MatchFigures {
  readonly gainDb: number;
  /** Output loudness after the gain, less what it aims at (the input's; of the session with the trim by hand), LU. */
  readonly residualLu: number;
  /** Within MATCH_TOLERANCE_LU of what it aims at, as far as that is known. */
  readonly matched: boolean;
  /** `provisional` comes from three seconds of this rack alone, `exact` from the whole region. */
  readonly quality: 'provisional' | 'exact';
  /** How far the provisional gain may be off, LU: what it was off by before, and a share of its move since. */
  readonly errorLu: number | null;
  /** 5th and 95th percentile of the short-term loudness difference, LU. */
  readonly spreadLowLu: number | null;
  readonly spreadHighLu: number | null;
}

/** Levels at one point of the path, over the match region. */
export interface TapLevels {
  readonly truePeakDbtp: number | null;
  readonly integratedLufs: number | null;
}

/** Output against input of a stage with memory at one frequency, sorted by phase; relative to full scale. */
export interface StageLoop {
  readonly hz: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
}

/** What a stage does as set; computed from its parameters, but for the histogram. */
export interface StageFace {
  readonly stageId: string;
  /** Static curve: output against input of the stage's core, both relative to full scale; x ascending over ±range. */
  readonly curveX: Float64Array;
  readonly curveY: Float64Array;
  /** Share of time the programme spends at each x, 0 to 1 relative to the fullest bin; null until analysed. */
  readonly histogram: Float64Array | null;
  /** Measured at the programme's strongest frequency where the stage has memory (emphasis); null otherwise. */
  readonly loop: StageLoop | null;
  /** The tone that this kind's harmonics and its 1 % THD are told of: 997 Hz, or what its circuit says, Hz. */
  readonly toneHz: number;
  /** Harmonics of that tone at the alignment level at the stage's input, dBc; null below −140. */
  readonly harmonics: readonly { readonly n: number; readonly dbc: number | null }[];
  readonly thdPercent: number;
  /** THD of the same without its bias, which 0 dB of drive is counted from; null where it isn't biased. */
  readonly unbiasedThdPercent: number | null;
  /** Peak level at the curve's input (after trim in) at which the stage makes 1 % THD, dBFS; null when it never does. */
  readonly onePercentDbfs: number | null;
}

export interface RackFigures {
  readonly rackId: RackId;
  /** Why there are no figures, as a sentence ("silence in the match region"); null when there are. */
  readonly reason: string | null;
  readonly match: MatchFigures | null;
  readonly input: SideFigures | null;
  /** After the match gain. */
  readonly output: SideFigures | null;
  /** The rack's input, then after each stage (trim out included), before the match gain. */
  readonly taps: readonly TapLevels[];
  readonly faces: readonly StageFace[];
  /** Output minus input, third octaves 25 Hz to 16 kHz, dB; null where there is no energy. */
  readonly toneDb: readonly (number | null)[] | null;
  readonly addedPercent: number | null;
}

/** The racks of both sides; side A is null where it is clean. */
export interface SideRacks {
  readonly a: Readonly<Record<RackId, Rack>> | null;
  readonly b: Readonly<Record<RackId, Rack>>;
}

export interface RackResult {
  readonly match: MatchFigures | null;
  /** What one more stage at the end of the rack would get. */
  readonly amplitudes: Amplitudes;
  readonly input: SideFigures;
  readonly output: SideFigures;
}

/** The gains that bring everything to one loudness, exactly. */
export interface SessionMatches {
  /** Side B's racks, and side A's where that isn't simply clean. */
  readonly matchesB: Readonly<Record<RackId, MatchFigures | null>>;
  readonly matchesA: Readonly<Record<RackId, MatchFigures | null>>;
  /** The last gains of side B and of side A, which bring each to the clean mix's loudness. */
  readonly outputMatch: MatchFigures | null;
  readonly outputMatchA: MatchFigures | null;
  /** Gain of side A's mix that leaves least of side B's: what "added" subtracts. */
  readonly addedGain: number;
  /** For both sides alike while they are listened to: keeps the louder true peak of the two under the guard's ceiling. */
  readonly headroomDb: Decibels;
}

export interface SessionResult extends SessionMatches {
  readonly racks: Readonly<Record<RackId, RackResult>>;
  /** Side A and side B at the output. */
  readonly clean: SideFigures;
  readonly coloured: SideFigures;
  readonly addedPercent: number | null;
  readonly waveform: Float32Array;
  readonly regionStartSeconds: number;
  readonly loudestColour: readonly number[];
}

/** What only the shown rack needs. */
export interface RackDetails {
  readonly taps: readonly TapLevels[];
  /** Per stage, the programme's amplitude histogram at the curve's input. */
  readonly histograms: readonly Float64Array[];
  /** Per stage, its loop where it has memory. */
  readonly loops: readonly (StageLoop | null)[];
  readonly toneDb: readonly (number | null)[];
  readonly addedPercent: number | null;
}

/** What an analysis found, as it is listened to. */
export function listeningGains(matches: SessionMatches): ListeningGains {
  const dbOf = (racks: SessionMatches['matchesA']) =>
    Object.fromEntries(Object.entries(racks).map(([id, match]) => [id, match?.gainDb ?? null]));
  return {
    a: { racks: dbOf(matches.matchesA), outputDb: matches.outputMatchA?.gainDb ?? null },
    b: { racks: dbOf(matches.matchesB), outputDb: matches.outputMatch?.gainDb ?? null },
    headroomDb: matches.headroomDb,
  };
}
