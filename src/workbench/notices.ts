import { Notifier } from './observable.ts';

export interface Notice {
  readonly id: number;
  readonly kind: 'info' | 'warning' | 'fault';
  readonly text: string;
}

/** Sentences for the user, newest last; the same sentence is shown once. */
export class Notices extends Notifier {
  notices: readonly Notice[] = [];
  private next = 1;

  say(kind: Notice['kind'], text: string): void {
    this.notices = [...this.notices.filter((notice) => notice.text !== text), { id: this.next++, kind, text }];
    this.notify();
  }

  dismiss(id: number): void {
    this.notices = this.notices.filter((notice) => notice.id !== id);
    this.notify();
  }
}
