/** Work that is done one after the other, in the order it came. */
export class Turns {
  #last: Promise<unknown> = Promise.resolve();

  take<T>(work: () => Promise<T>): Promise<T> {
    const turn = this.#last.then(work);
    this.#last = turn.catch(() => undefined);
    return turn;
  }

  /** Resolves when nothing is worked on. */
  async idle(): Promise<void> {
    let last: unknown;
    while (last !== this.#last) {
      last = this.#last;
      await last;
    }
  }
}
