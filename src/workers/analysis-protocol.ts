/** What the page and the analysis worker say to each other. Plain data. */

import type { StageTrims } from '../measure/alignment.ts';
import type { MatchFigures, RackDetails, SessionMatches, SessionResult } from '../measure/figures.ts';
import type { KindFigure } from '../measure/kind-figure.ts';
import type { RackProfile } from '../measure/rack-profile.ts';
import type { SoundPart } from '../measure/rendered-session.ts';
import type { BenchResult } from '../measure/tone-bench/result.ts';
import type { BenchSpec } from '../measure/tone-bench/spec.ts';
import type { Planes } from '../render/rack-renderer.ts';
import type { RackId, SessionDocument, Stage } from '../session/document.ts';

export type AlignmentTrims = Readonly<Record<RackId, readonly StageTrims[] | null>>;

/** On the way to all figures. */
export type FiguresTold =
  /** Of the exact work, 0 to 1. */
  | { readonly share: number }
  /** The exact gains, before the figures. */
  | { readonly matches: SessionMatches }
  /** Null where there is no sound in the match region. */
  | { readonly result: SessionResult | null };

export interface AnalysisProtocol {
  readonly asks: {
    /**
     * All figures of the document as it is, and at last the details of one rack. `moved`: the rack that was just moved,
     * which gets a provisional match first.
     */
    readonly figures: {
      readonly ask: {
        readonly document: SessionDocument;
        readonly moved: RackId | null;
        readonly selected: RackId;
      };
      readonly told: FiguresTold;
      readonly answer: RackDetails | null;
    };
    readonly resample: {
      readonly ask: { readonly planes: Planes; readonly from: number; readonly to: number };
      readonly told: never;
      readonly answer: Planes;
    };
    /** Trims that put these racks' stages at the alignment level, one rack after the other along the signal path. */
    readonly alignment: {
      readonly ask: { readonly document: SessionDocument; readonly rackIds: readonly RackId[] };
      readonly told: never;
      readonly answer: AlignmentTrims;
    };
    /** What these stages would do in place of a rack's own. */
    readonly profile: {
      readonly ask: { readonly document: SessionDocument; readonly rackId: RackId; readonly stages: readonly Stage[] };
      readonly told: never;
      readonly answer: RackProfile;
    };
    /** What a stage kind does at its defaults. */
    readonly kind: {
      readonly ask: { readonly kindId: string; readonly sampleRate: number; readonly operatingDbfs: number };
      readonly told: never;
      readonly answer: KindFigure;
    };
    /** A measurement on the tone bench. */
    readonly bench: { readonly ask: BenchSpec; readonly told: never; readonly answer: BenchResult };
  };
  readonly notes: {
    /** Another session: everything before is forgotten. */
    readonly configure: { readonly sampleRate: number; readonly alignmentDbfs: number };
    /** A channel's sound, of a long session only the stretch that is analysed. */
    readonly source: { readonly channelId: string; readonly planes: Planes | null; readonly stretch?: SoundPart };
  };
  readonly news: {
    /** The gain of the rack that was moved, also where a newer document has come: it is still the best known. */
    readonly provisional: { readonly rackId: RackId; readonly match: MatchFigures };
  };
}
