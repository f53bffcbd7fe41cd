import type { LiveFrame } from '../../stores/live-store.ts';

const DC_FLOOR_DBFS = -80;
const DC_OVER_CLEAN_DB = 10;
const SLOW_FLOOR_DBFS = -70;
/** What is on the screen stays until it is this far below what called it, dB. */
const STAY_DB = 6;
/** It comes when it has been so for this long, and goes when it has not been so for this long: music breathes. */
const COMES_AFTER_MS = 1000;
const GOES_AFTER_MS = 6000;

const DC = 'DC, made by asymmetry, is no bass and costs headroom. AC coupling takes it away.';
const SLOW = 'Slow products follow the music’s envelope below 15 Hz: made by asymmetry, no bass.';
const BOTH = 'DC and slow products come from asymmetry: no bass. AC coupling takes the DC away.';

/** Something that is so, or not, for long enough. */
class Held {
  shown = false;
  private since: number | null = null;

  /** @param so tells it by the stricter or, while it is shown, by the laxer limits */
  take(so: (shown: boolean) => boolean, now: number): boolean {
    if (so(this.shown) === this.shown) this.since = null;
    else {
      this.since ??= now;
      if (now - this.since >= (this.shown ? GOES_AFTER_MS : COMES_AFTER_MS)) {
        this.shown = !this.shown;
        this.since = null;
      }
    }
    return this.shown;
  }

  reset(): void {
    this.shown = false;
    this.since = null;
  }
}

/** The one sentence about what looks like bass and isn't; it comes and goes slowly. */
export class LowNotes {
  private readonly dc = new Held();
  private readonly slow = new Held();

  /** @param now in ms */
  take(frame: LiveFrame | null, now: number): string {
    if (!frame) {
      this.dc.reset();
      this.slow.reset();
      return '';
    }
    const dc = frame.stopped ? this.dc.shown : this.dc.take((shown) => hasMadeDc(frame, shown), now);
    const slow = frame.stopped ? this.slow.shown : this.slow.take((shown) => hasSlowProducts(frame, shown), now);
    if (dc && slow) return BOTH;
    return dc ? DC : slow ? SLOW : '';
  }
}

/** Whether the coloured side has DC that the clean one has not. */
function hasMadeDc({ colouredDcDbfs, cleanDcDbfs }: LiveFrame, shown: boolean): boolean {
  const stay = shown ? STAY_DB : 0;
  return colouredDcDbfs > DC_FLOOR_DBFS - stay && colouredDcDbfs - cleanDcDbfs > DC_OVER_CLEAN_DB - stay;
}

/** Whether slow products are strong enough to matter. */
function hasSlowProducts({ slowProductsDbfs }: LiveFrame, shown: boolean): boolean {
  return (slowProductsDbfs ?? -Infinity) > SLOW_FLOOR_DBFS - (shown ? STAY_DB : 0);
}
