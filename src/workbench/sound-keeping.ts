import type { SessionStorage } from '../session/store/storage.ts';
import type { Notices } from './notices.ts';
import { sentence } from './notices.ts';

/** Keeps sound files as they came, under their SHA-256: in the browser's store, or in memory where that refuses them. */
export class SoundKeeping {
  /** The browser's store; null where there is none. */
  protected storage: SessionStorage | null = null;
  /** Sound files that the store would not take. */
  private readonly refused = new Map<string, Uint8Array<ArrayBuffer>>();
  private askedToPersist = false;

  constructor(protected readonly notices: Notices) {}

  /** A sound file of the user's own: the browser is asked once not to clear it away. */
  async keepOwn(sha256: string, bytes: Uint8Array<ArrayBuffer>): Promise<void> {
    await this.keepAudio(sha256, bytes);
    if (this.askedToPersist) return;
    this.askedToPersist = true;
    this.storage?.persist().catch(() => undefined);
  }

  /** What the store refuses stays in memory, from where a session file still gets it. */
  async keepAudio(sha256: string, bytes: Uint8Array<ArrayBuffer>): Promise<void> {
    this.refused.set(sha256, bytes);
    try {
      if (!this.storage) return;
      await this.storage.saveAudio(sha256, bytes);
      this.refused.delete(sha256);
    } catch (fault) {
      this.notices.say('warning', sentence(fault));
    }
  }

  /** The bytes of a sound file as it came; null where neither memory nor the store has it. */
  async loadAudio(sha256: string): Promise<Uint8Array<ArrayBuffer> | null> {
    return this.refused.get(sha256) ?? (await this.storage?.loadAudio(sha256)) ?? null;
  }

  async hasAudio(sha256: string): Promise<boolean> {
    return this.refused.has(sha256) || ((await this.storage?.hasAudio(sha256)) ?? false);
  }

  /** Memory lets go of all sound files but these. */
  protected keepRefused(hashes: readonly string[]): void {
    for (const sha256 of this.refused.keys()) if (!hashes.includes(sha256)) this.refused.delete(sha256);
  }
}
