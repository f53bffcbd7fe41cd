/** What the page and the analysis worker say to each other. Plain data. */

import type { StageTrims } from '../measure/alignment.ts';
import type { MatchFigures, RackDetails, SessionMatches, SessionResult } from '../measure/figures.ts';
import type { SoundPart } from '../measure/rendered-session.ts';
import type { BenchResult } from '../measure/tone-bench/result.ts';
import type { BenchSpec } from '../measure/tone-bench/spec.ts';
import type { RackId, SessionDocument } from '../session/document.ts';

export type ToWorker =
  | { readonly type: 'configure'; readonly sampleRate: number; readonly alignmentDbfs: number }
  /** A channel's sound, of a long session only the stretch that is analysed. */
  | {
      readonly type: 'source';
      readonly channelId: string;
      readonly planes: readonly Float32Array[] | null;
      readonly stretch?: SoundPart;
    }
  /** The document as it is now. `moved`: the rack that was just moved, which gets a provisional match first. */
  | {
      readonly type: 'document';
      readonly document: SessionDocument;
      readonly moved: RackId | null;
      readonly selected: RackId;
      readonly serial: number;
    }
  | {
      readonly type: 'resample';
      readonly id: number;
      readonly planes: readonly Float32Array[];
      readonly from: number;
      readonly to: number;
    }
  /** Trims that put these racks' stages at the alignment level, one rack after the other along the signal path. */
  | {
      readonly type: 'alignment';
      readonly id: number;
      readonly document: SessionDocument;
      readonly rackIds: readonly RackId[];
    }
  /** A measurement on the tone bench. A newer one of the same panel takes the place of an older one. */
  | { readonly type: 'bench'; readonly id: number; readonly panel: string; readonly spec: BenchSpec };

export type FromWorker =
  | { readonly type: 'provisional'; readonly serial: number; readonly rackId: RackId; readonly match: MatchFigures }
  | { readonly type: 'progress'; readonly serial: number; readonly share: number }
  /** The exact gains, before the figures. */
  | { readonly type: 'matched'; readonly serial: number; readonly matches: SessionMatches }
  | { readonly type: 'exact'; readonly serial: number; readonly result: SessionResult | null }
  | { readonly type: 'details'; readonly serial: number; readonly rackId: RackId; readonly details: RackDetails | null }
  | { readonly type: 'failed'; readonly serial: number; readonly text: string }
  | { readonly type: 'resampled'; readonly id: number; readonly planes: readonly Float32Array[] }
  | {
      readonly type: 'aligned';
      readonly id: number;
      readonly trims: Readonly<Record<RackId, readonly StageTrims[] | null>>;
    }
  | { readonly type: 'benched'; readonly id: number; readonly result: BenchResult }
  | { readonly type: 'benchFailed'; readonly id: number; readonly text: string };
