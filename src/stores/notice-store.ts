import type { Observable } from './observable.ts';

/** A sentence for the user, with its weight. */
export interface Notice {
  readonly id: number;
  readonly kind: 'info' | 'warning' | 'fault';
  readonly text: string;
  /** What can be done about it with one press. */
  readonly action?: { readonly label: string; run(): void };
}

export interface NoticeStore extends Observable {
  readonly notices: readonly Notice[];
  dismiss(id: number): void;
}
