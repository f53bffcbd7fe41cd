/** How a live peak is shown: up at once, down by a constant rate, and the highest value held for a while. */
const FALL_DB_PER_SECOND = 20;
const HOLD_MS = 1500;

export class Ballistics {
  #peakDb = -200;
  #at = 0;
  #heldDb = -200;
  #heldAt = 0;

  take(peakDb: number, now: number): void {
    this.#peakDb = Math.max(peakDb, this.levelDb(now));
    this.#at = now;
    if (peakDb >= this.#heldDb || now - this.#heldAt > HOLD_MS) {
      this.#heldDb = peakDb;
      this.#heldAt = now;
    }
  }

  /** Forgets the held value: it was of something else. */
  dropHold(): void {
    this.#heldDb = -200;
  }

  /** Forgets everything. */
  reset(): void {
    this.#peakDb = -200;
    this.dropHold();
  }

  levelDb(now: number): number {
    return Math.max(-200, this.#peakDb - ((now - this.#at) / 1000) * FALL_DB_PER_SECOND);
  }

  get heldDb(): number {
    return this.#heldDb;
  }
}
