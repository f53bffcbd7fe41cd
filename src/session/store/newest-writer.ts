/**
 * Writes one value at a time, each at once when nothing is under way. Of those that come meanwhile only the newest is
 * written, after that. So no older value comes after a newer one, and a slow store is never behind by more than one.
 */
export class NewestWriter<T> {
  private last: Promise<void> = Promise.resolve();
  private waiting: { value: T; turn: Promise<void> } | null = null;

  constructor(private readonly write: (value: T) => Promise<void>) {}

  /** Resolves when this value or a newer one is written; rejects when that failed. The next one is tried all the same. */
  push(value: T): Promise<void> {
    if (this.waiting) {
      this.waiting.value = value;
      return this.waiting.turn;
    }
    const waiting = { value, turn: this.last };
    const next = () => {
      this.waiting = null;
      return this.write(waiting.value);
    };
    waiting.turn = this.last.then(next, next);
    this.waiting = waiting;
    this.last = waiting.turn;
    return waiting.turn;
  }
}
