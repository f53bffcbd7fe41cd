/** Level and frequency units. Gains are amplitude ratios unless a name says power. */

/** Amplitude ratio expressed in dB. */
export type Decibels = number;
/** Frequency in Hz. */
export type Hertz = number;
/** Time in seconds. */
export type Seconds = number;
/** Linear amplitude ratio. */
export type Gain = number;

/** dB to amplitude ratio. */
export function dbToGain(db: Decibels): Gain {
  return 10 ** (db / 20);
}

/** Amplitude ratio to dB; 0 gives −Infinity, which callers must not put into sums, on screens or into JSON. */
export function gainToDb(gain: Gain): Decibels {
  return 20 * Math.log10(Math.abs(gain));
}

/** Power ratio to dB. */
export function powerToDb(power: number): Decibels {
  return 10 * Math.log10(power);
}

/** A number for JSON and screens: what is not finite isn't defined, so it becomes null. */
export function orNull(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}

/** Limits `value` to the closed range from `min` to `max`. */
export function clamp(value: number, min: number, max: number): number {
  return Math.min(max, Math.max(min, value));
}

/** The ends of figures' names and the units they stand for; no end is that of another one. */
const UNITS: readonly (readonly [end: string, unit: string])[] = [
  ['Lufs', 'LUFS'],
  ['Lu', 'LU'],
  ['Dbtp', 'dBTP'],
  ['Dbfs', 'dBFS'],
  ['Db', 'dB'],
];

/** The unit that a figure is named with: "truePeakDbtp" is in dBTP; empty where the name has none. */
export function unitOf(name: string): string {
  return UNITS.find(([end]) => name.endsWith(end))?.[1] ?? '';
}
