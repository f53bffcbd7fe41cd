import { SpectrumAnalyser } from '../dsp/spectrum.ts';

export const WINDOW_SAMPLES = 16384;
const LOWEST_HZ = 25;
const HIGHEST_HZ = 10_000;
/** Looks spread over the recording; their powers are averaged. */
const LOOKS = 24;

/** Frequency of the strongest line of a recording's average spectrum, Hz; null for silence or too short a recording. */
export function strongestFrequency(plane: Float32Array, sampleRate: number): number | null {
  if (plane.length < WINDOW_SAMPLES) return null;
  const analyser = new SpectrumAnalyser(WINDOW_SAMPLES, 'blackmanHarris4', sampleRate);
  const sums = new Float64Array(WINDOW_SAMPLES / 2 + 1);
  for (let look = 0; look < LOOKS; look++) {
    analyser.reset();
    analyser.push(plane, Math.round((look * (plane.length - WINDOW_SAMPLES)) / Math.max(1, LOOKS - 1)));
    for (let bin = 0; bin < sums.length; bin++) sums[bin] += analyser.power[bin];
  }
  let best = 0;
  for (let bin = 1; bin < sums.length; bin++) {
    const hz = analyser.frequencyOf(bin);
    if (hz >= LOWEST_HZ && hz <= HIGHEST_HZ && sums[bin] > sums[best]) best = bin;
  }
  return sums[best] > 1e-12 ? analyser.frequencyOf(best) : null;
}
