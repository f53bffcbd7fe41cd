import type { AnalyserSettings, BlockStamp, LiveFrame } from '../stores/live-frame.ts';
import { DEFAULT_ANALYSER, NOTHING_DBFS } from '../stores/live-frame.ts';
import type { LiveStore } from '../stores/live-store.ts';
import { Notifier } from '../stores/observable.ts';
import LiveWorker from './live.worker.ts?worker';
import type { FromLiveWorker, ToLiveWorker } from './live-protocol.ts';

/**
 * The live analyser as the page sees it: tap blocks go to its worker, frames come back to the listeners. A frame
 * belongs to one rack, one start and one setting: what comes late, or of anything else, is nobody's.
 */
export class Live extends Notifier implements LiveStore {
  latest: LiveFrame | null = null;
  settings: AnalyserSettings = DEFAULT_ANALYSER;
  private start = 0;
  private stopped = false;
  private readonly worker = new LiveWorker();
  private readonly frameListeners = new Set<(frame: LiveFrame | null) => void>();

  /** @param recycle takes a block's buffer back when its frame is done */
  constructor(recycle: (buffer: ArrayBuffer) => void) {
    super();
    this.worker.addEventListener('message', ({ data }: MessageEvent<FromLiveWorker>) => {
      recycle(data.buffer);
      if (data.start === this.start && !this.stopped) this.tell(data.frame);
    });
  }

  /** Calls `listener` for each frame, and with null when there is none any more. */
  onFrame(listener: (frame: LiveFrame | null) => void): () => void {
    this.frameListeners.add(listener);
    return () => this.frameListeners.delete(listener);
  }

  configure(settings: AnalyserSettings): void {
    this.settings = settings;
    this.send({ type: 'settings', settings });
    this.outdate();
    this.notify();
  }

  /** Forgets what was seen: another rack is watched, another session stands here, or sound starts anew. */
  reset(rackId: string): void {
    this.start++;
    this.stopped = false;
    this.send({ type: 'reset', rackId, start: this.start });
    this.tell(null);
  }

  /** The sound has stopped: the picture stays as it was last, the peaks of this moment go. */
  stop(): void {
    this.stopped = true;
    const { latest } = this;
    if (!latest) return;
    this.tell({ ...latest, stopped: true, cleanPeakDbfs: NOTHING_DBFS, colouredPeakDbfs: NOTHING_DBFS });
  }

  /** The rack is set otherwise: a picture that nothing renews is none of it. */
  outdate(): void {
    if (this.stopped) this.tell(null);
  }

  push(buffer: ArrayBuffer, sampleRate: number, stamp: BlockStamp): void {
    this.send({ type: 'block', buffer, sampleRate, stamp }, [buffer]);
  }

  private tell(frame: LiveFrame | null): void {
    this.latest = frame;
    for (const listener of this.frameListeners) listener(frame);
  }

  private send(message: ToLiveWorker, transfer: Transferable[] = []): void {
    this.worker.postMessage(message, transfer);
  }
}
