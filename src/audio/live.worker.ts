import type { AnalyserSettings, BlockStamp, LiveFrame } from '../stores/live-store.ts';
import { serve } from '../workers/serve.ts';
import { LiveAnalysis } from './live-analysis.ts';

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

/** The live analyser's worker: every block of taps makes one frame. Buffers go back so that they can be used again. */
const analysis = new LiveAnalysis();
let start = 0;

const say = serve<LiveProtocol>({
  asks: {},
  notes: {
    settings: (settings) => analysis.set(settings),
    reset: (reset) => {
      start = reset.start;
      analysis.reset(reset.rackId);
    },
    block: ({ buffer, sampleRate, stamp }) => {
      const frames = buffer.byteLength / 16;
      const planes = [0, 1, 2, 3].map((plane) => new Float32Array(buffer, plane * frames * 4, frames));
      say('frame', { frame: analysis.push(planes, sampleRate, stamp), start, buffer }, [buffer]);
    },
  },
  faultText: String,
});
