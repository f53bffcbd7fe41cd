/**
 * What a change during playback puts beyond 2 kHz. A 100 Hz sine plays; frames around the change are windowed (Blackman-Harris,
 * seven terms, side lobes below −180 dB) and the power above 2 kHz is summed. Settings
 * that distort have harmonics there all the time, so the larger of the steady sums before and after is taken off.
 */
import FFT from 'fft.js';
import { makeWindow } from '../../src/dsp/windows.ts';

export const CARRIER_HZ = 100;
const SIZE = 8192;
const EDGE_HZ = 2000;

function sumAbove(samples: Float32Array, centre: number, sampleRate: number): number {
  const window = makeWindow('blackmanHarris7', SIZE);
  const start = centre - SIZE / 2;
  if (start < 0 || start + SIZE > samples.length) throw new Error('the window leaves the samples');
  const fft = new FFT(SIZE);
  const spectrum = fft.createComplexArray() as number[];
  const total = window.reduce((sum, w) => sum + w, 0);
  fft.realTransform(
    spectrum,
    Array.from(window, (w, i) => w * samples[start + i]),
  );
  let power = 0;
  for (let bin = Math.ceil((EDGE_HZ * SIZE) / sampleRate); bin < SIZE / 2; bin++) {
    power += (2 * Math.hypot(spectrum[2 * bin], spectrum[2 * bin + 1])) ** 2 / total ** 2;
  }
  return power;
}

/**
 * Level over the carrier in dBc of what is beyond 2 kHz around frame `centre` and isn't there `SIZE` frames before or
 * after, in steady state.
 */
export function splatterDbc(samples: Float32Array, centre: number, carrier: number, sampleRate = 48000): number {
  const steady = Math.max(
    sumAbove(samples, centre - SIZE, sampleRate),
    sumAbove(samples, centre + SIZE + 2048, sampleRate),
  );
  // A tenth of a dB for the window's hold on harmonics that move within it.
  const excess = Math.max(0, sumAbove(samples, centre, sampleRate) - 1.02 * steady);
  return 10 * Math.log10(excess / carrier ** 2 + 1e-20);
}

export const SPLATTER_FRAMES = 4 * SIZE;
