import type { AnalyserSettings, BlockStamp, LiveFrame, LiveStore } from '../stores/live-store.ts';
import { DEFAULT_ANALYSER, NOTHING_DBFS } from '../stores/live-store.ts';
import { Notifier } from '../stores/observable.ts';
import { WorkerChannel } from '../workers/channel.ts';
import type { LiveProtocol } from './live.worker.ts';
import LiveWorker from './live.worker.ts?worker';

const STOPPED =
  'The analyser stopped twice, most likely for want of memory. The session is kept: close other tabs and reload the page.';

/**
 * The live analyser as the page sees it: tap blocks go to its worker, frames come back to the listeners. A frame
 * belongs to one rack, one start and one setting: what comes late, or of anything else, is nobody's.
 */
export class Live extends Notifier implements LiveStore {
  latest: LiveFrame | null = null;
  settings: AnalyserSettings = DEFAULT_ANALYSER;
  fault: string | null = null;
  private rackId = '';
  private start = 0;
  private stopped = false;
  /** Blocks that the worker has, and the bytes of one. */
  private underWay = 0;
  private blockBytes = 0;
  private readonly channel: WorkerChannel<LiveProtocol>;
  private readonly frameListeners = new Set<(frame: LiveFrame | null) => void>();

  /** @param recycle takes a block's buffer back when its frame is done */
  constructor(private readonly recycle: (buffer: ArrayBuffer) => void) {
    super();
    this.channel = new WorkerChannel<LiveProtocol>(() => new LiveWorker(), {
      stopped: STOPPED,
      news: {
        frame: ({ frame, start, buffer }) => {
          this.underWay--;
          recycle(buffer);
          if (start === this.start && !this.stopped) this.tell(frame);
        },
      },
      restore: () => {
        this.replaceLost();
        this.channel.note('settings', this.settings);
        this.channel.note('reset', { rackId: this.rackId, start: this.start });
      },
      onStopped: ({ message }) => {
        this.replaceLost();
        this.fault = message;
        this.tell(null);
        this.notify();
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
    this.rackId = rackId;
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
    if (this.fault !== null) {
      this.recycle(buffer);
      return;
    }
    this.underWay++;
    this.blockBytes = buffer.byteLength;
    this.channel.note('block', { buffer, sampleRate, stamp }, [buffer]);
  }

  /** The engine gets others for the buffers that went with a worker: it makes none itself. */
  private replaceLost(): void {
    for (; this.underWay > 0; this.underWay--) this.recycle(new ArrayBuffer(this.blockBytes));
  }

  private tell(frame: LiveFrame | null): void {
    this.latest = frame;
    for (const listener of this.frameListeners) listener(frame);
  }
}
