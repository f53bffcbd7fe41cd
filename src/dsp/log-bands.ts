/** A spectrum on a logarithmic frequency axis. */
import { isPeak, lineAt } from './line-level.ts';
import type { Hertz } from './units.ts';
import type { WindowName } from './windows.ts';

export interface LogAxis {
  /** Centre of the first band. */
  readonly from: Hertz;
  /** Centre of the last band. */
  readonly to: Hertz;
  /** Number of bands, at least 2. */
  readonly count: number;
}

/** Centre frequency of band `index`: equal ratios from `from` to `to`. */
export function logBandCentre(axis: LogAxis, index: number): Hertz {
  return axis.from * (axis.to / axis.from) ** (index / (axis.count - 1));
}

/**
 * Puts the bins of a power spectrum onto a log axis. Where a band holds bins it takes their maximum, so no line gets
 * lost between two pixels; where bins are sparser than bands it interpolates power linearly between the neighbours.
 * Bands above half the sample rate are 0.
 * @param power bins 0 to half the sample rate, as from `SpectrumAnalyser`
 * @param out receives `axis.count` values; pass it to avoid allocation
 * @param from first band that is wanted, up to but without `to`; the others are left alone
 */
export function logBands(
  power: Float64Array,
  sampleRate: Hertz,
  axis: LogAxis,
  out: Float64Array = new Float64Array(axis.count),
  from = 0,
  to = axis.count,
): Float64Array {
  const last = power.length - 1;
  const binsPerHertz = (2 * last) / sampleRate;
  const halfStep = (axis.to / axis.from) ** (0.5 / (axis.count - 1));
  for (let band = from; band < to; band++) {
    const centre = logBandCentre(axis, band) * binsPerHertz;
    const first = Math.ceil(centre / halfStep);
    const end = Math.min(last + 1, Math.ceil(centre * halfStep));
    if (centre > last) {
      out[band] = 0;
    } else if (first < end) {
      let largest = 0;
      for (let bin = first; bin < end; bin++) largest = Math.max(largest, power[bin]);
      out[band] = largest;
    } else {
      const below = Math.floor(centre);
      const above = Math.min(below + 1, last);
      out[band] = power[below] + (centre - below) * (power[above] - power[below]);
    }
  }
  return out;
}

/**
 * Raises the bands from `from` up to `to` in which a line peaks to that line's own level, wherever it lies between
 * the bins: after it a sine reads its peak in the band that holds its frequency.
 * @param bands of the same spectrum, from `logBands`
 * @param window that the spectrum was made with
 */
export function raiseLines(
  power: Float64Array,
  sampleRate: Hertz,
  axis: LogAxis,
  bands: Float64Array,
  window: WindowName,
  from = 0,
  to = axis.count,
): void {
  const last = power.length - 1;
  const hertzPerBin = sampleRate / (2 * last);
  const perBand = Math.log(axis.to / axis.from) / (axis.count - 1);
  const edge = (band: number) => (axis.from * Math.exp((band - 0.5) * perBand)) / hertzPerBin;
  const end = Math.min(last - 1, Math.ceil(edge(to)));
  for (let bin = Math.max(2, Math.floor(edge(from))); bin <= end; bin++) {
    if (!isPeak(power, bin)) continue;
    const line = lineAt(power, bin, window);
    const band = Math.round(Math.log((line.bin * hertzPerBin) / axis.from) / perBand);
    if (band >= from && band < to && line.power > bands[band]) bands[band] = line.power;
  }
}
