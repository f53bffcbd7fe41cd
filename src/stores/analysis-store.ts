import type { MatchFigures, RackFigures, SideFigures } from '../measure/figures.ts';
import type { RackId, Region } from '../session/document.ts';
import type { Observable } from './observable.ts';

export type { MatchFigures, RackFigures, SideFigures, StageFace, TapLevels } from '../measure/figures.ts';

export interface AnalysisStore extends Observable {
  /** `idle`: all figures are of the document as it is. */
  readonly status: 'idle' | 'working' | 'failed';
  /** Share of the exact work done, 0 to 1. */
  readonly progress: number;
  rack(rackId: RackId): RackFigures | undefined;
  /** The whole session at the mix output. */
  readonly clean: SideFigures | null;
  readonly coloured: SideFigures | null;
  /** The mix's last gain: full BS.1770 loudness of coloured against clean. */
  readonly mixMatch: MatchFigures | null;
  /** How far both sides are lowered together while they are heard, so that neither is limited alone: dB, 0 or less. */
  readonly headroomDb: number | null;
  /** What was matched, where memory doesn't hold all that the document asks for; null where it does. */
  readonly shortened: Region | null;
  readonly addedPercent: number | null;
  /** Third-octave mid-band frequencies of every `toneDb`, Hz. */
  readonly toneFrequencies: readonly number[];
  /** Min/max of the clean mix for the transport's waveform: [min0, max0, min1, max1, …]; null until known. */
  readonly waveform: Float32Array | null;
  /** Times at which the most colour is added, seconds, strongest first. */
  readonly loudestColour: readonly number[];
}

/** True while the analysis's figures are of the document as it was before: being measured anew, or that failed. */
export function isStale(analysis: AnalysisStore | undefined): boolean {
  return analysis !== undefined && analysis.status !== 'idle';
}
