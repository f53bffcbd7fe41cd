import type { LiveFrame } from '../context/stores.ts';

const DC_FLOOR_DBFS = -80;
const DC_OVER_CLEAN_DB = 10;
const SLOW_FLOOR_DBFS = -70;
/** What is on the screen stays until it is this far below what called it, dB. */
const STAY_DB = 3;

export const DC_NOTE =
  'DC: asymmetric stages make it. It is not bass, and it costs headroom; AC coupling, in the stage’s circuit, takes it away.';
export const SLOW_NOTE =
  'Slow products: asymmetry follows the music’s envelope below 15 Hz. They are not bass; AC coupling takes only the slowest away.';

/** Whether the coloured side has DC that the clean one has not. @param shown whether the screen says so already */
export function hasMadeDc(frame: LiveFrame, shown: boolean): boolean {
  const stay = shown ? STAY_DB : 0;
  const { colouredDcDbfs, cleanDcDbfs } = frame;
  return colouredDcDbfs > DC_FLOOR_DBFS - stay && colouredDcDbfs - cleanDcDbfs > DC_OVER_CLEAN_DB - stay;
}

/** Whether slow products are strong enough to matter. @param shown whether the screen says so already */
export function hasSlowProducts(frame: LiveFrame, shown: boolean): boolean {
  return (frame.slowProductsDbfs ?? -Infinity) > SLOW_FLOOR_DBFS - (shown ? STAY_DB : 0);
}
