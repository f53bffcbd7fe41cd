import LiveWorker from './live.worker.ts?worker';
import type { AnalyserSettings, LiveFrame } from './live-frame.ts';
import { DEFAULT_ANALYSER } from './live-frame.ts';
import type { FromLiveWorker, ToLiveWorker } from './live-protocol.ts';

/** The live analyser as the page sees it: tap blocks go to its worker, frames come back to the listeners. */
export class Live {
  latest: LiveFrame | null = null;
  settings: AnalyserSettings = DEFAULT_ANALYSER;
  private rackId = '';
  private readonly worker = new LiveWorker();
  private readonly listeners = new Set<(frame: LiveFrame) => void>();

  /** @param recycle takes a block's buffer back when its frame is done */
  constructor(recycle: (buffer: ArrayBuffer) => void) {
    this.worker.addEventListener('message', ({ data }: MessageEvent<FromLiveWorker>) => {
      recycle(data.buffer);
      // A frame of the rack watched before may still be under way.
      if (data.frame.rackId !== this.rackId) return;
      this.latest = data.frame;
      for (const listener of this.listeners) listener(data.frame);
    });
  }

  onFrame(listener: (frame: LiveFrame) => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  configure(settings: AnalyserSettings): void {
    this.settings = settings;
    this.send({ type: 'settings', settings });
  }

  /** Forgets what was seen: another rack is watched, or sound starts anew. */
  reset(rackId: string): void {
    this.rackId = rackId;
    this.latest = null;
    this.send({ type: 'reset', rackId });
  }

  push(buffer: ArrayBuffer, sampleRate: number): void {
    this.send({ type: 'block', buffer, sampleRate }, [buffer]);
  }

  private send(message: ToLiveWorker, transfer: Transferable[] = []): void {
    this.worker.postMessage(message, transfer);
  }
}
