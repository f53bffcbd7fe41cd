/** What the screen knows of the stage kinds: what each does at its defaults, measured. */
import type { KindFigure } from '../measure/kind-figure.ts';
import type { Observable } from './observable.ts';

export type { FigurePoint, KindFigure } from '../measure/kind-figure.ts';

export interface KindGuideStore extends Observable {
  /** By the kind's id; those that were measured. */
  readonly figures: ReadonlyMap<string, KindFigure>;
  /** Measures the kinds that weren't yet, one after the other, at the session's rate and operating level. */
  look(): Promise<void>;
}
