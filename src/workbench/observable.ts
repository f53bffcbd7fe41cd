/** Something that changes and says so. */
export class Notifier {
  private readonly listeners = new Set<() => void>();

  /** Calls `listener` after every change, until the returned function is called. */
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
