import type { Seconds } from '../dsp/units.ts';
import type { StrongestTone } from '../stores/live-store.ts';
import type { Standing } from './strongest-tone.ts';

/**
 * From where on a tone counts as alone. Other instruments and other notes lie 0 to 15 dB below the strongest line; a
 * test tone, a steady note or a solo with a little breath and room is past both figures.
 */
const COMES = { prominenceDb: 20, restDb: -17 };
/** What is shown stays until it is worse than this. */
const STAYS = { prominenceDb: 14, restDb: -12 };
/** It comes after it has stood this long, and goes after it has failed this long. */
const COMES_AFTER: Seconds = 0.5;
const GOES_AFTER: Seconds = 1;
/** The same tone as before: within a quarter tone. */
const SAME = 2 ** (1 / 24);

/** Which tone has its harmonics named: one that stands out, for as long as it does, and no flicker between. */
export class StandingTone {
  private shown: StrongestTone | null = null;
  private next: StrongestTone | null = null;
  private nextFor: Seconds = 0;
  private failedFor: Seconds = 0;

  reset(): void {
    this.shown = null;
    this.next = null;
    this.nextFor = 0;
    this.failedFor = 0;
  }

  /**
   * The tone to name now.
   * @param tone the strongest one now, and how far it stands out
   * @param seconds since the call before
   */
  take(tone: StrongestTone | null, standing: Standing | null, seconds: Seconds): StrongestTone | null {
    const passes = (limits: Standing) =>
      standing !== null && standing.prominenceDb >= limits.prominenceDb && standing.restDb <= limits.restDb;
    if (this.shown && tone && isSame(this.shown, tone) && passes(STAYS)) {
      this.shown = tone;
      this.failedFor = 0;
    } else if (this.shown) {
      this.failedFor += seconds;
      if (this.failedFor >= GOES_AFTER) this.shown = null;
    }
    if (tone && passes(COMES) && !(this.shown && isSame(this.shown, tone))) {
      this.nextFor = this.next && isSame(this.next, tone) ? this.nextFor + seconds : 0;
      this.next = tone;
      if (this.nextFor >= COMES_AFTER) {
        this.shown = tone;
        this.failedFor = 0;
        this.next = null;
      }
    } else this.next = null;
    return this.shown;
  }
}

function isSame(a: StrongestTone, b: StrongestTone): boolean {
  const ratio = a.hz / b.hz;
  return ratio < SAME && ratio > 1 / SAME;
}
