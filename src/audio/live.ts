import type { AnalyserSettings, BlockStamp, LiveFrame, LiveStore } from '../stores/live-store.ts';
import { DEFAULT_ANALYSER, NOTHING_DBFS } from '../stores/live-store.ts';
import { Notifier } from '../stores/observable.ts';
import { WorkerChannel } from '../workers/channel.ts';
import type { LiveProtocol } from './live.worker.ts';
import LiveWorker from './live.worker.ts?worker';

/**
 * The live analyser as the page sees it: tap blocks go to its worker, frames come back to the listeners. A frame
 * belongs to one rack, one start and one setting: what comes late, or of anything else, is nobody's.
 */
export class Live extends Notifier implements LiveStore {
  latest: LiveFrame | null = null;
  settings: AnalyserSettings = DEFAULT_ANALYSER;
  private start = 0;
  private stopped = false;
  private readonly channel: WorkerChannel<LiveProtocol>;
  private readonly frameListeners = new Set<(frame: LiveFrame | null) => void>();

  /** @param recycle takes a block's buffer back when its frame is done */
  constructor(recycle: (buffer: ArrayBuffer) => void) {
    super();
    this.channel = new WorkerChannel<LiveProtocol>(new LiveWorker(), 'The analyser stopped. Reload the page.', {
      frame: ({ frame, start, buffer }) => {
        recycle(buffer);
        if (start === this.start && !this.stopped) this.tell(frame);
      },
    });
  }

  /** Calls `listener` for each frame, and with null when there is none any more. */
  onFrame(listener: (frame: LiveFrame | null) => void): () => void {
    this.frameListeners.add(listener);
    return () => this.frameListeners.delete(listener);
  }

  configure(settings: AnalyserSettings): void {
    this.settings = settings;
    this.channel.note('settings', settings);
    this.outdate();
    this.notify();
  }

  /** Forgets what was seen: another rack is watched, another session stands here, or sound starts anew. */
  reset(rackId: string): void {
    this.start++;
    this.stopped = false;
    this.channel.note('reset', { rackId, start: this.start });
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
    this.channel.note('block', { buffer, sampleRate, stamp }, [buffer]);
  }

  private tell(frame: LiveFrame | null): void {
    this.latest = frame;
    for (const listener of this.frameListeners) listener(frame);
  }
}
