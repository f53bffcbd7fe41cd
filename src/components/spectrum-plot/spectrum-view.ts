/** How the spectrum is drawn; what is measured isn't touched by it. */
export interface SpectrumView {
  /** Drawn slope about 1 kHz, dB per octave. */
  readonly slopeDb: number;
  /** The level at the bottom of the plot. */
  readonly lowestDbfs: number;
  readonly harmonics: boolean;
  readonly lowBand: boolean;
}

export const DEFAULT_VIEW: SpectrumView = { slopeDb: 0, lowestDbfs: -96, harmonics: true, lowBand: false };

export const SPECTRUM_TOP_DBFS = -6;
const PIVOT_HZ = 1000;
const AXIS = 30;
/** DC has a strip of its own: on a logarithmic axis it has no place, and on the linear one it must not look like bass. */
const DC_STRIP = 34;
const FOOT = 18;
const TOP = 4;
const RIGHT = 6;

/**
 * Where frequencies and levels stand on a plot of this size. Made once for a size and a view, so that drawing a frame
 * allocates next to nothing.
 */
export class SpectrumScale {
  readonly left = AXIS + DC_STRIP;
  readonly dcX = AXIS + 9;
  readonly right: number;
  readonly bottom: number;
  readonly floorDbfs: number;
  readonly fromHz: number;
  readonly toHz: number;
  private of: Float32Array | null = null;
  private xs = new Float32Array(0);
  private tilts = new Float32Array(0);

  constructor(
    readonly width: number,
    readonly height: number,
    readonly view: SpectrumView,
  ) {
    this.right = width - RIGHT;
    this.bottom = height - FOOT;
    this.floorDbfs = view.lowestDbfs;
    this.fromHz = view.lowBand ? 0 : 20;
    this.toHz = view.lowBand ? 60 : 20_000;
  }

  fits(width: number, height: number, view: SpectrumView): boolean {
    return this.width === width && this.height === height && this.view === view;
  }

  x(hz: number): number {
    const { fromHz, toHz } = this;
    const share = this.view.lowBand ? (hz - fromHz) / (toHz - fromHz) : Math.log(hz / fromHz) / Math.log(toHz / fromHz);
    return this.left + share * (this.right - this.left);
  }

  hz(x: number): number {
    const { fromHz, toHz } = this;
    const share = Math.min(1, Math.max(0, (x - this.left) / (this.right - this.left)));
    return this.view.lowBand ? fromHz + share * (toHz - fromHz) : fromHz * (toHz / fromHz) ** share;
  }

  y(db: number): number {
    const share = (SPECTRUM_TOP_DBFS - db) / (SPECTRUM_TOP_DBFS - this.floorDbfs);
    return TOP + Math.min(1, Math.max(0, share)) * (this.bottom - TOP);
  }

  /** What the tilt adds at a frequency. */
  tilt(hz: number): number {
    return this.view.lowBand ? 0 : this.view.slopeDb * Math.log2(hz / PIVOT_HZ);
  }

  /** Draws one curve. */
  trace(context: CanvasRenderingContext2D, frequencies: Float32Array, values: Float32Array): void {
    if (this.of !== frequencies) {
      this.of = frequencies;
      this.xs = frequencies.map((hz) => this.x(hz));
      this.tilts = frequencies.map((hz) => this.tilt(hz));
    }
    context.beginPath();
    for (let i = 0; i < values.length; i++) context.lineTo(this.xs[i], this.y(values[i] + this.tilts[i]));
    context.stroke();
  }
}

/** Each point stands for its surroundings, half-way to its neighbours; a line at their very edge counts on both sides. */
const EDGE = 1e-3;

/** The curve's highest level from one frequency to another; null outside and where there is nothing. */
export function highest(frequencies: Float32Array, values: Float32Array, fromHz: number, toHz: number): number | null {
  let most = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < frequencies.length; i++) {
    if (frequencies[i] >= fromHz && frequencies[i] < toHz && values[i] > most) most = values[i];
  }
  return most > NOTHING_DBFS ? most : null;
}

/**
 * The curve's level at a frequency: that of the point whose surroundings hold it, which is the highest line there.
 * Nothing is interpolated, so the top of a line is read wherever the cursor meets it. Null outside and where there is
 * nothing.
 * @param linear how the points lie: at equal distances, or in equal ratios
 */
export function levelAt(frequencies: Float32Array, values: Float32Array, hz: number, linear: boolean): number | null {
  const last = frequencies.length - 1;
  if (last < 1) return null;
  const [first, end] = [frequencies[0], frequencies[last]];
  const place = linear ? ((hz - first) / (end - first)) * last : (Math.log(hz / first) / Math.log(end / first)) * last;
  if (!(place >= -0.5 && place <= last + 0.5)) return null;
  let most = Number.NEGATIVE_INFINITY;
  const from = Math.max(0, Math.round(place - EDGE));
  const to = Math.min(last, Math.round(place + EDGE));
  for (let i = from; i <= to; i++) most = Math.max(most, values[i]);
  return most > NOTHING_DBFS ? most : null;
}

/** Below this a level is nothing. */
export const NOTHING_DBFS = -150;
