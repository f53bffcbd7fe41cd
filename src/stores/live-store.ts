import type { AnalyserSettings, LiveFrame } from './live-frame.ts';
import type { Observable } from './observable.ts';

export type { AnalyserSettings, LiveFrame, LowBand, StrongestTone } from './live-frame.ts';

export interface LiveStore extends Observable {
  readonly settings: AnalyserSettings;
  configure(settings: AnalyserSettings): void;
  /** Calls `listener` for each frame outside any render cycle, and with null when none is of what stands here. */
  onFrame(listener: (frame: LiveFrame | null) => void): () => void;
  readonly latest: LiveFrame | null;
}
