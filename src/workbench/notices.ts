import type { Notice, NoticeStore } from '../stores/notice-store.ts';
import { Notifier } from '../stores/observable.ts';

/** Sentences for the user, newest last; the same sentence is shown once. */
export class Notices extends Notifier implements NoticeStore {
  notices: readonly Notice[] = [];
  private next = 1;

  say(kind: Notice['kind'], text: string): void {
    this.notices = [...this.notices.filter((notice) => notice.text !== text), { id: this.next++, kind, text }];
    this.notify();
  }

  /** Carries work out; where it fails that is said, and null comes of it. */
  async attempt<T>(work: () => Promise<T>): Promise<T | null> {
    try {
      return await work();
    } catch (fault) {
      this.say('warning', sentence(fault));
      return null;
    }
  }

  /** Says what was just done, with the way back. It stands until the next step, which is then what undo takes back. */
  offerUndo(text: string, undo: () => void): void {
    this.withdrawUndo();
    this.notices = [...this.notices, { id: this.next++, kind: 'info', text, action: { label: 'Undo', run: undo } }];
    this.notify();
  }

  withdrawUndo(): void {
    const kept = this.notices.filter(({ action }) => !action);
    if (kept.length === this.notices.length) return;
    this.notices = kept;
    this.notify();
  }

  dismiss(id: number): void {
    this.notices = this.notices.filter((notice) => notice.id !== id);
    this.notify();
  }
}

/** A fault as a sentence: those of our own carry one. */
export function sentence(fault: unknown): string {
  return fault instanceof Error ? fault.message : String(fault);
}
