/** Messages in the order they came, for one who asks for the next. A fault ends it at once, whatever still waits. */
export class Inbox<T> {
  private readonly waiting: T[] = [];
  private fault: { readonly reason: unknown } | null = null;
  private wake: (() => void) | null = null;

  put(message: T): void {
    this.waiting.push(message);
    this.call();
  }

  fail(reason: unknown): void {
    this.fault ??= { reason };
    this.call();
  }

  /** @throws the reason of `fail` */
  async next(): Promise<T> {
    for (;;) {
      if (this.fault) throw this.fault.reason;
      if (this.waiting.length > 0) return this.waiting.shift() as T;
      await new Promise<void>((resolve) => {
        this.wake = resolve;
      });
    }
  }

  private call(): void {
    this.wake?.();
    this.wake = null;
  }
}
