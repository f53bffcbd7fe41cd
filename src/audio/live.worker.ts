import { serve } from '../workers/serve.ts';
import { LiveAnalysis } from './live-analysis.ts';
import type { LiveProtocol } from './live-protocol.ts';

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
