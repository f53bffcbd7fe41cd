/** Something that changes and says so. */
export interface Observable {
  /** Calls `listener` after every change, until the returned function is called. */
  subscribe(listener: () => void): () => void;
}

/** What every store is made from. */
export class Notifier implements Observable {
  private readonly listeners = new Set<() => void>();

  readonly subscribe = (listener: () => void): (() => void) => {
    this.listeners.add(listener);
    return () => {
      this.listeners.delete(listener);
    };
  };

  notify(): void {
    for (const listener of this.listeners) listener();
  }
}
