import type { Region } from '../session/document.ts';

/** Where in the session the sound is, seconds: it goes with the context's clock, and round in the loop. */
export class PlayPosition {
  loop: readonly [start: number, end: number] = [0, 0];
  /** Where the sound began, or stands. */
  from = 0;
  private startedAt = 0;

  /** @param now time of the context's clock; null while nothing plays */
  at(now: number | null): number {
    if (now === null) return this.from;
    const [start, end] = this.loop;
    const at = this.from + Math.max(0, now - this.startedAt);
    return at < end || end <= start ? at : start + ((at - start) % (end - start));
  }

  /** The sound begins at `when` on the context's clock; behind the loop's end it begins with the loop. */
  begin(from: number, loop: Region | null, duration: number, when: number): void {
    const start = loop ? Math.min(loop.startSeconds, duration) : 0;
    const end = loop ? Math.min(loop.endSeconds, duration) : duration;
    this.loop = end > start ? [start, end] : [0, duration];
    this.from = from >= this.loop[1] ? this.loop[0] : from;
    this.startedAt = when;
  }
}
