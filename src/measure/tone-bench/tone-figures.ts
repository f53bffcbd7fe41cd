import { analyseHarmonics } from '../../dsp/harmonics.ts';
import type { Decibels, Hertz } from '../../dsp/units.ts';
import { gainToDb, orNull, powerToDb } from '../../dsp/units.ts';
import { AUDIBLE, LineSpectrum } from './line-spectrum.ts';
import type { ToneFigures } from './result.ts';

/** Highest harmonic that is listed; THD takes in all there are. */
const LISTED = 20;

/**
 * Figures of one sine in steady state.
 * @param samples a power of two of samples that holds whole periods of `frequency`, an odd number of them, so that no
 * alias falls on a harmonic
 */
export function toneFigures(samples: Float64Array | Float32Array, sampleRate: Hertz, frequency: Hertz): ToneFigures {
  const size = samples.length;
  const step = Math.round((frequency * size) / sampleRate);
  const highest = Math.max(LISTED, Math.ceil(size / 2 / step) - 1);
  const analysis = analyseHarmonics(samples, sampleRate, frequency, highest, AUDIBLE);
  const spectrum = new LineSpectrum(samples, sampleRate);
  const floor = floorDbc(spectrum, step);
  const power = spectrum.power[step];
  // Without any harmonic below half the rate THD would read 0 whatever the rack does.
  const heard = 2 * step < size / 2;
  const shares = [0, 0];
  for (let n = 2; n * step < size / 2; n++) shares[n % 2] += spectrum.power[n * step];
  return {
    fundamentalDbfs: analysis.fundamentalDbfs,
    harmonics: analysis.harmonics.slice(0, LISTED - 1).map(({ n, dbc, phaseDeg }) => ({
      n,
      dbc,
      phaseDeg: dbc !== null && (floor === null || dbc > floor) ? phaseDeg : null,
    })),
    thdFPercent: heard ? percent(analysis.thdF) : null,
    thdRPercent: heard ? percent(analysis.thdR) : null,
    thdNPercent: percent(distortionAndNoise(spectrum, step)),
    evenDbc: power > 0 ? orNull(powerToDb(shares[0] / power)) : null,
    oddDbc: power > 0 ? orNull(powerToDb(shares[1] / power)) : null,
    dcDbfs: orNull(gainToDb(spectrum.dc)),
    aliasDbc: analysis.aliasDbc,
    floorDbc: floor,
  };
}

/** `LineSpectrum.floorPower` over one line; null if the one or the other is nothing. */
export function floorDbc(spectrum: LineSpectrum, bin: number): Decibels | null {
  return spectrum.power[bin] > 0 ? orNull(powerToDb(spectrum.floorPower() / spectrum.power[bin])) : null;
}

/**
 * Residual in AES17's band (from memory) over residual and fundamental. A notch of any width would also take noise
 * beside the tone away; here exactly the fundamental's line is left out.
 */
function distortionAndNoise(spectrum: LineSpectrum, step: number): number | null {
  const residual = spectrum.bandPower(AUDIBLE, step);
  const total = residual + spectrum.power[step];
  return total > 0 ? Math.sqrt(residual / total) : null;
}

function percent(ratio: number | null): number | null {
  return ratio === null ? null : 100 * ratio;
}
