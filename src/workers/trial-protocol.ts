/** What the page and a worker of blind trials say to each other. Plain data. */
import type { RenderedPart, TrialPart, TrialRequest } from '../measure/trial/trial-set.ts';

export interface ToTrialWorker {
  readonly type: 'render';
  readonly request: TrialRequest;
  readonly part: TrialPart;
}

export type FromTrialWorker =
  | { readonly type: 'progress'; readonly share: number }
  | { readonly type: 'rendered'; readonly rendered: RenderedPart }
  /** Why there are none, as a sentence for the user. */
  | { readonly type: 'refused'; readonly text: string };
