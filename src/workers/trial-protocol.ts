import type { RenderedPart, TrialPart, TrialRequest } from '../measure/trial/trial-set.ts';

/** What the page and a worker of blind trials say to each other. Plain data. */
export interface TrialProtocol {
  readonly asks: {
    /** Told the share that is done, 0 to 1. */
    readonly render: {
      readonly ask: { readonly request: TrialRequest; readonly part: TrialPart };
      readonly told: number;
      readonly answer: RenderedPart;
    };
  };
  readonly notes: Readonly<Record<never, never>>;
  readonly news: Readonly<Record<never, never>>;
}
