import type { SessionDocument } from '../session/document.ts';
import type { AsideDocument } from '../session/storage.ts';
import { SessionStorage } from '../session/storage.ts';
import type { Notices } from './notices.ts';
import { sentence } from './sentence.ts';

const SAVE_DELAY = 150;
/** Held by every window of the tool while it is open. */
const WINDOW_LOCK = 'level-best-window';

/** Keeps the session and its sound files in the browser; what it refuses is said, and work goes on without. */
export class Saving {
  private storage: SessionStorage | null = null;
  private timer: ReturnType<typeof setTimeout> | undefined;
  private askedToPersist = false;
  /** Sound files that the store would not take, by SHA-256. */
  private readonly refused = new Map<string, Uint8Array<ArrayBuffer>>();

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

  /** A sound file of the user's own: the browser is asked once not to clear it away. */
  async keepOwn(sha256: string, bytes: Uint8Array<ArrayBuffer>): Promise<void> {
    await this.keepAudio(sha256, bytes);
    if (this.askedToPersist) return;
    this.askedToPersist = true;
    this.storage?.persist().catch(() => undefined);
  }

  /** What the store refuses stays in memory, from where a session file still gets it. */
  async keepAudio(sha256: string, bytes: Uint8Array<ArrayBuffer>): Promise<void> {
    try {
      if (!this.storage) throw null;
      await this.storage.saveAudio(sha256, bytes);
      this.refused.delete(sha256);
    } catch (fault) {
      this.refused.set(sha256, bytes);
      if (fault !== null) this.notices.say('warning', sentence(fault));
    }
  }

  /** The bytes of a sound file as it came, from memory or from the store; null where neither has it. */
  async loadAudio(sha256: string): Promise<Uint8Array<ArrayBuffer> | null> {
    return this.refused.get(sha256) ?? (await this.storage?.loadAudio(sha256)) ?? null;
  }

  async hasAudio(sha256: string): Promise<boolean> {
    return this.refused.has(sha256) || ((await this.storage?.hasAudio(sha256)) ?? false);
  }

  /** Documents that can't be read. */
  async asides(): Promise<readonly AsideDocument[]> {
    return (await this.storage?.asides()) ?? [];
  }

  async forgetAside(key: string): Promise<void> {
    await this.storage?.forgetAside(key);
  }

  /**
   * When the page has nothing else to do: takes sound files away that neither `hashes` nor a stored document needs.
   * Another window may need what this one doesn't know of, so nothing goes while there is one.
   */
  sweepWhenIdle(hashes: () => readonly string[]): void {
    const { locks } = navigator;
    // Held until the window closes.
    void locks?.request(WINDOW_LOCK, { mode: 'shared' }, () => new Promise(() => undefined)).catch(() => undefined);
    const sweep = async () => {
      const { held = [] } = (await locks?.query()) ?? {};
      if (held.filter(({ name }) => name === WINDOW_LOCK).length !== 1) return;
      await this.storage?.sweep(this.current(), hashes());
    };
    // Tidying can be done another time.
    whenIdle(() => void sweep().catch(() => undefined));
  }
}

function whenIdle(work: () => void): void {
  if (typeof requestIdleCallback === 'function') requestIdleCallback(work, { timeout: 30_000 });
  else setTimeout(work, 5000);
}
