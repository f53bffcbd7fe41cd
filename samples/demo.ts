import { seededRandom } from '../src/dsp/random.ts';
import type { AudioData } from '../src/files/audio-data.ts';
import { quantise } from '../src/files/quantise.ts';
import { accordion } from './instruments/accordion.ts';
import { bassClarinet } from './instruments/bass-clarinet.ts';
import { frameDrum } from './instruments/frame-drum.ts';
import { melodica } from './instruments/melodica.ts';
import { shaker } from './instruments/shaker.ts';
import { uprightBass } from './instruments/upright-bass.ts';
import { gainBy, loudPassages, samplePeak } from './levels.ts';
import { RATE } from './models/loop.ts';
import { inTheHall, type Place } from './models/room.ts';
import { addNoiseFloor } from './noise-floor.ts';

/** One channel of the demo session. */
export interface Part {
  /** File name without its ending. */
  name: string;
  play: (seed: number) => Float64Array[];
  seed: number;
  /** Where it stands; one microphone for each channel. */
  places: Place[];
  /** Level of the loud passages, dBFS RMS as AES17 counts it. */
  level: number;
  /** But no sample is to be higher than this, dBFS. */
  peak: number;
}

/**
 * Significant bits of the 24 in the file: with dither the rounding lies 18 dB below the room's noise. More would only
 * be noise, at 0.14 MB a bit and channel.
 */
const SIGNIFICANT_BITS = 17;
const NOISE_FLOOR_DB = -84;

const at = (x: number, y: number, z: number): [number, number, number] => [x, y, z];

export const PARTS: Part[] = [
  {
    name: 'melodica',
    play: (seed) => [melodica(seed)],
    seed: 101,
    places: [{ source: at(5.1, 4.0, 1.4), microphone: at(5.4, 4.3, 1.5), lateDb: -25 }],
    level: -19,
    peak: -5,
  },
  {
    name: 'bass-clarinet',
    play: (seed) => [bassClarinet(seed)],
    seed: 202,
    places: [{ source: at(7.2, 3.6, 0.6), microphone: at(7.4, 4.0, 0.9), lateDb: -26 }],
    level: -18.5,
    peak: -5,
  },
  {
    name: 'accordion',
    play: accordion,
    seed: 303,
    places: [
      { source: at(6.1, 3.2, 1.1), microphone: at(5.8, 3.8, 1.2), lateDb: -23 },
      { source: at(6.2, 3.2, 1.1), microphone: at(6.6, 3.8, 1.2), lateDb: -23 },
    ],
    level: -19,
    peak: -5,
  },
  {
    name: 'frame-drum',
    play: frameDrum,
    seed: 404,
    places: [
      { source: at(4.3, 5.5, 1.0), microphone: at(3.9, 5.9, 1.8), lateDb: -20 },
      { source: at(4.3, 5.5, 1.0), microphone: at(4.8, 5.9, 1.8), lateDb: -20 },
    ],
    level: -17,
    peak: -6,
  },
  {
    name: 'shaker',
    play: (seed) => [shaker(seed)],
    seed: 515,
    places: [{ source: at(8.4, 5.6, 1.3), microphone: at(8.4, 6.1, 1.4), lateDb: -22 }],
    level: -26,
    peak: -7.5,
  },
  {
    name: 'upright-bass',
    play: (seed) => [uprightBass(seed)],
    seed: 606,
    places: [{ source: at(6.4, 6.0, 0.9), microphone: at(6.5, 6.4, 0.8), lateDb: -28 }],
    level: -19.5,
    peak: -5,
  },
];

/** One part in the hall, at its level, with the room's noise, rounded as it is kept in its file. */
export function renderPart(part: Part): AudioData {
  const dry = part.play(part.seed);
  const wet = dry.map((channel, index) => inTheHall(channel, part.places[index], part.seed + 10 + index));
  gainBy(wet, Math.min(part.level - loudPassages(wet), part.peak - samplePeak(wet)));
  const random = seededRandom(part.seed + 50);
  const channels = wet.map((channel) => {
    addNoiseFloor(channel, NOISE_FLOOR_DB, random);
    const { samples } = quantise(Float32Array.from(channel), SIGNIFICANT_BITS, random);
    return Float32Array.from(samples, (value) => value / 2 ** (SIGNIFICANT_BITS - 1));
  });
  return { channels, sampleRate: RATE };
}
