/** What the page and the live analyser's worker say to each other. */
import type { AnalyserSettings, BlockStamp, LiveFrame } from '../stores/live-frame.ts';

export type ToLiveWorker =
  | { readonly type: 'settings'; readonly settings: AnalyserSettings }
  | { readonly type: 'reset'; readonly rackId: string; readonly start: number }
  /** Four planes: clean left, clean right, coloured left, coloured right. */
  | { readonly type: 'block'; readonly buffer: ArrayBuffer; readonly sampleRate: number; readonly stamp: BlockStamp };

export interface FromLiveWorker {
  readonly type: 'frame';
  readonly frame: LiveFrame;
  /** Number of the `reset` that it came after. */
  readonly start: number;
  /** The block's buffer, to be used again. */
  readonly buffer: ArrayBuffer;
}
