import type { AnalyserSettings, BlockStamp, LiveFrame } from '../stores/live-frame.ts';

/** What the page and the live analyser's worker say to each other: nothing is asked, every block brings a frame. */
export interface LiveProtocol {
  readonly asks: Readonly<Record<never, never>>;
  readonly notes: {
    readonly settings: AnalyserSettings;
    readonly reset: { readonly rackId: string; readonly start: number };
    /** Four planes: clean left, clean right, coloured left, coloured right. */
    readonly block: { readonly buffer: ArrayBuffer; readonly sampleRate: number; readonly stamp: BlockStamp };
  };
  readonly news: {
    readonly frame: {
      readonly frame: LiveFrame;
      /** Number of the `reset` that it came after. */
      readonly start: number;
      /** The block's buffer, to be used again. */
      readonly buffer: ArrayBuffer;
    };
  };
}
