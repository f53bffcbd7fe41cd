/** What the page and the worker of blind trials say to each other. Plain data. */
import type { TrialRequest, TrialSounds } from './trial-sounds.ts';

export interface ToTrialWorker {
  readonly type: 'render';
  readonly request: TrialRequest;
}

export type FromTrialWorker =
  | { readonly type: 'progress'; readonly share: number }
  | { readonly type: 'sounds'; readonly sounds: TrialSounds }
  /** Why there are none, as a sentence for the user. */
  | { readonly type: 'refused'; readonly text: string };
