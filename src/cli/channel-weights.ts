import { CliError } from './cli-error.ts';

/** Loudspeaker bits of WAVE_FORMAT_EXTENSIBLE's dwChannelMask that loudness treats in a way of their own. */
const LFE = 0x8;
const BACK = 0x10 | 0x20;
const SIDE = 0x200 | 0x400;
const SURROUND_WEIGHT = 1.41;
const MOST_CHANNELS = 6;

/**
 * Loudness weights of channels whose places the file states, by BS.1770-5: no LFE, and 1.41 for loudspeakers 60° to
 * 120° to the side. The back pair stands there unless there is a side pair as well. Undefined where the file states no
 * places (or not as many as it has channels): then the usual order of that many channels holds.
 * @throws CliError for more than six channels
 */
export function channelWeightsByMask(channels: number, mask = 0): number[] | undefined {
  if (channels > MOST_CHANNELS) {
    throw new CliError(`It has ${channels} channels, and loudness is measured of up to 6; export fewer.`);
  }
  const places: number[] = [];
  for (let bit = 1; bit <= 0x20000; bit *= 2) if ((mask & bit) !== 0) places.push(bit);
  if (channels <= 2 || places.length !== channels) return undefined;
  const surround = (mask & SIDE) !== 0 ? SIDE : BACK;
  return places.map((place) => (place === LFE ? 0 : (place & surround) !== 0 ? SURROUND_WEIGHT : 1));
}
