/**
 * Loudness by ITU-R BS.1770-5, EBU Tech 3341 and Tech 3342: what other parts import.
 * The algorithm is not suited to the subjective loudness of pure tones (BS.1770-5, Annex 1).
 */
export { energyToLufs, gatedLoudness, gateMask, type Lufs, lufsToEnergy } from './gating.ts';
export { LoudnessMeter } from './loudness-meter.ts';
export { blockEnergies, type Loudness, loudnessSeries, measureLoudness } from './loudness-offline.ts';
export { loudnessRange } from './loudness-range.ts';
export type { ChannelOptions } from './weighted-energy.ts';
