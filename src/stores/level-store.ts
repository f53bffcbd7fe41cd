import type { Observable } from './observable.ts';

/** Live levels of one signal since the measurement started; null where not defined yet. */
export interface SideLevels {
  readonly momentaryLufs: number | null;
  readonly shortTermLufs: number | null;
  readonly integratedLufs: number | null;
  readonly maxMomentaryLufs: number | null;
  readonly maxShortTermLufs: number | null;
  readonly truePeakDbtp: number | null;
  readonly positivePeakDbfs: number | null;
  readonly negativePeakDbfs: number | null;
  /** True peak of the last 3 s less their loudness, dB. */
  readonly psrDb: number | null;
  /** Largest true peak less integrated loudness, dB. */
  readonly plrDb: number | null;
}

export interface Levels {
  readonly clean: SideLevels | null;
  readonly input: SideLevels | null;
  readonly coloured: SideLevels | null;
}

export interface RackLevels extends Levels {
  readonly rackId: string;
  /** What was known with the settings before, where the settings of now have no figure yet. */
  readonly former: Levels | null;
  /** Tenths of a second of which nothing but the peaks is known: the computer was too busy. */
  readonly missedReports: number;
}

export interface LevelStore extends Observable {
  /** Of the selected rack; null until sound plays. Listeners are told at most some ten times a second. */
  readonly latest: RackLevels | null;
  /** Starts integrated loudness and all largest values anew. */
  reset(): void;
}
