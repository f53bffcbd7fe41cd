import { LiveAnalysis } from './live-analysis.ts';
import type { FromLiveWorker, ToLiveWorker } from './live-protocol.ts';

/** The live analyser's worker: every block of taps makes one frame. Buffers go back so that they can be used again. */
const analysis = new LiveAnalysis();
let start = 0;

const send = (message: FromLiveWorker, transfer: Transferable[]) => {
  (globalThis as unknown as { postMessage(message: FromLiveWorker, transfer: Transferable[]): void }).postMessage(
    message,
    transfer,
  );
};

globalThis.addEventListener('message', ({ data }: MessageEvent<ToLiveWorker>) => {
  if (data.type === 'settings') analysis.set(data.settings);
  else if (data.type === 'reset') {
    start = data.start;
    analysis.reset(data.rackId);
  } else {
    const frames = data.buffer.byteLength / 16;
    const planes = [0, 1, 2, 3].map((plane) => new Float32Array(data.buffer, plane * frames * 4, frames));
    const frame = analysis.push(planes, data.sampleRate, data.stamp);
    send({ type: 'frame', frame, start, buffer: data.buffer }, [data.buffer]);
  }
});
