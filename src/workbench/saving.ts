import type { SessionDocument } from '../session/document.ts';
import { SessionStorage } from '../session/storage.ts';
import type { Notices } from './notices.ts';
import { sentence } from './sentence.ts';

const SAVE_DELAY = 150;

/** Keeps the session and its sound files in the browser; what it refuses is said, and work goes on without. */
export class Saving {
  private storage: SessionStorage | null = null;
  private timer: ReturnType<typeof setTimeout> | undefined;

  /** @param current the document to store, read when it is stored */
  constructor(
    private readonly current: () => SessionDocument,
    private readonly notices: Notices,
  ) {}

  /**
   * The session that was stored last; null where there is none.
   * @throws StorageError or SessionError with a sentence for the user
   */
  async open(): Promise<SessionDocument | null> {
    this.storage = await SessionStorage.open();
    const stored = await this.storage.load();
    if (this.storage.notice) this.notices.say('warning', this.storage.notice);
    return stored;
  }

  /** Stores the session soon: at once is too often while something is dragged, later than this would lose work. */
  save(): void {
    this.timer ??= setTimeout(() => {
      this.timer = undefined;
      this.storage?.save(this.current()).catch((fault) => this.notices.say('warning', sentence(fault)));
    }, SAVE_DELAY);
  }

  async keepAudio(sha256: string, bytes: Uint8Array<ArrayBuffer>): Promise<void> {
    try {
      await this.storage?.saveAudio(sha256, bytes);
    } catch (fault) {
      this.notices.say('warning', sentence(fault));
    }
  }

  async loadAudio(sha256: string): Promise<Uint8Array<ArrayBuffer> | null> {
    return (await this.storage?.loadAudio(sha256)) ?? null;
  }
}
