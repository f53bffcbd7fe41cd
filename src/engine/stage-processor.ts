import { dbToGain } from '../dsp/units.ts';
import { alignmentAmplitude } from './calibration.ts';
import type { StageConfig } from './config.ts';
import type { Heap } from './heap.ts';
import type { Kernels } from './kernels.ts';
import { CORNER_DELAY } from './oversampling.ts';
import { Ramp, raisedCosine } from './ramp.ts';
import { findStageKind, stageKinds } from './stages/catalogue.ts';
import type { StageKind } from './stages/stage-kind.ts';
import { indexOf, Kernel, MAX_COEFFICIENTS } from './stages/stage-kind.ts';

/** How long a parameter takes to its new value, seconds. */
const PARAMETER_SECONDS = 0.04;
/** How long a stage takes to switch on or off, seconds. */
const SWITCH_SECONDS = 0.008;
/** Corner of the AC coupling, Hz: one pole, on what the stage adds only. At 20 Hz it costs that 0.04 dB. */
const COUPLING_HZ = 2;

const MAX_PARAMETERS = 32;

// A stage's memory in bytes: two emphasis filters and the AC coupling (16 each), corner shaping, two delay lines.
const CORNER_HISTORY = 48;
const DELAYED_SIGNAL = CORNER_HISTORY + 200;
const DELAYED_DIFFERENCE = DELAYED_SIGNAL + CORNER_DELAY * 8;

/** Position of the parameters every kind has, per kind. */
const commonIndex = new Map<StageKind, Record<string, number>>(
  stageKinds.map((kind) => [kind, indexOf(kind.parameters)]),
);

const logarithmicOf = new Map<StageKind, readonly boolean[]>(
  stageKinds.map((kind) => [
    kind,
    kind.parameters.map((parameter) => parameter.type === 'continuous' && parameter.taper === 'log'),
  ]),
);

/** True for kernels whose curve has corners; they are shaped with `CORNER_DELAY` frames of delay. */
export function hasCorners(kernel: number): boolean {
  return kernel === Kernel.algebraicOne || kernel === Kernel.algebraic || kernel === Kernel.hardClip;
}

/** True for kernels whose racks are over-sampled by `firmFactor`. */
export function isFirm(kernel: number): boolean {
  return hasCorners(kernel) || kernel === Kernel.diodePair;
}

/** Gains that follow from a stage's values; everything else is the curve's. */
class StageGains {
  pre = 1;
  linear = 1;
  post = 0;
  coupling = 1;
  tilt = 0;
  tiltHz = 800;
  readonly coefficients = new Float64Array(MAX_COEFFICIENTS);
}

/** Addresses of the buffers a stage works on, at the higher rate. */
export interface StageBuffers {
  readonly signal: number;
  readonly difference: number;
  readonly added: number;
  readonly other: number;
}

/**
 * One stage of a rack at the higher rate:
 * y = g·x + highpass(circuit(x) − g·x)·blend, with circuit: trim in, emphasis, drive, curve, 1/drive, de-emphasis,
 * trim out. Only the difference is computed; `g` is the stage's small-signal gain, trims and polarity.
 */
export class StageProcessor {
  key = '';
  kind: StageKind = stageKinds[0];
  kernel = 0;
  /** 0 to 1: how much the stage is switched on. */
  readonly on = new Ramp(0);

  private readonly values = new Float64Array(MAX_PARAMETERS);
  private readonly from = new Float64Array(MAX_PARAMETERS);
  private readonly target = new Float64Array(MAX_PARAMETERS);
  /** Which values move in ratios, as their controls do. */
  private logarithmic: readonly boolean[] = [];
  private position = 0;
  private length = 0;
  private amplitude = 1;
  private factor = 4;
  /** Coefficient of the AC coupling's one-pole. */
  private pole = 0;
  private readonly start = new StageGains();
  private readonly end = new StageGains();

  private readonly c0: number;
  private readonly c1: number;
  private readonly state: number;
  private static readonly STATE_BYTES = DELAYED_DIFFERENCE + CORNER_DELAY * 8;

  constructor(
    private readonly kernels: Kernels,
    private readonly heap: Heap,
    private readonly rate: number,
    private readonly alignment: () => number,
    /** Corners are sampled plainly. */
    private readonly isQuick: boolean,
  ) {
    this.c0 = heap.allocate(MAX_COEFFICIENTS * 4);
    this.c1 = heap.allocate(MAX_COEFFICIENTS * 4);
    this.state = heap.allocate(StageProcessor.STATE_BYTES);
  }

  /** Frames of delay at the higher rate. */
  get delay(): number {
    return this.shapesCorners ? CORNER_DELAY : 0;
  }

  private get shapesCorners(): boolean {
    return !this.isQuick && hasCorners(this.kernel);
  }

  get moving(): boolean {
    return this.position < this.length || this.on.moving;
  }

  /** False when the stage adds nothing and won't until it is switched. */
  get audible(): boolean {
    return this.on.moving || this.on.target > 0;
  }

  /** Which kernel the configured values would run. */
  static kernelOf(config: StageConfig, scratch: Float64Array): number {
    scratch.set(config.values);
    return findStageKind(config.kind)?.curve.kernel(scratch) ?? -1;
  }

  /** Becomes another stage at once, with cleared memory, over-sampled by `factor`. */
  become(config: StageConfig, factor: number): void {
    this.factor = factor;
    this.pole = 1 - Math.exp((-2 * Math.PI * COUPLING_HZ) / (this.rate * factor));
    const kind = findStageKind(config.kind);
    if (!kind) throw new Error(`There is no stage kind "${config.kind}".`);
    this.key = config.key;
    this.kind = kind;
    this.logarithmic = logarithmicOf.get(kind) as readonly boolean[];
    this.target.set(config.values);
    this.values.set(config.values);
    this.position = 0;
    this.length = 0;
    this.on.jump(config.on ? 1 : 0);
    this.adopt();
    this.clear();
    this.derive(this.values, this.end);
    this.writeCoefficients(this.end, this.c1);
  }

  /** Moves to new values and a new switch position; kind and kernel must be the same. */
  moveTo(config: StageConfig): void {
    this.on.start(config.on ? 1 : 0, Math.round(SWITCH_SECONDS * this.rate));
    let changed = false;
    for (let i = 0; i < config.values.length; i++) changed ||= this.target[i] !== config.values[i];
    if (!changed) return;
    this.from.set(this.values);
    this.target.set(config.values);
    this.position = 0;
    this.length = Math.round(PARAMETER_SECONDS * this.rate);
    this.adopt();
  }

  private adopt(): void {
    this.kernel = this.kind.curve.kernel(this.target);
    this.amplitude = alignmentAmplitude(this.kind, this.target);
  }

  /** Forgets all sound. */
  clear(): void {
    this.heap.clear(this.state, StageProcessor.STATE_BYTES);
  }

  /** Small-signal gain of the stage now, its switch included. */
  linearGain(): number {
    this.derive(this.values, this.end);
    return 1 + (this.end.linear - 1) * this.on.at(0);
  }

  /** Advances the values by `frames` base frames without sound. */
  skip(frames: number): void {
    this.step(frames);
    this.on.advance(frames);
  }

  private step(frames: number): void {
    if (this.position >= this.length) return;
    this.position = Math.min(this.length, this.position + frames);
    const t = raisedCosine(this.position / this.length);
    const count = this.kind.parameters.length;
    for (let i = 0; i < count; i++) {
      const from = this.from[i];
      const ratio = this.target[i] / from;
      this.values[i] = this.logarithmic[i] ? from * ratio ** t : from + (this.target[i] - from) * t;
    }
    if (this.position >= this.length) this.values.set(this.target);
  }

  /** Processes `frames` base frames (factor times as many at the higher rate) in place. */
  process(buffers: StageBuffers, frames: number): void {
    const { kernels, start, end } = this;
    const { factor } = this;
    const moving = this.moving;
    const on0 = this.on.at(0);
    const on1 = this.on.at(frames);
    this.derive(this.values, start);
    const shapeMoves = this.position < this.length;
    if (shapeMoves) {
      this.writeCoefficients(start, this.c0);
      this.step(frames);
      this.derive(this.values, end);
      this.writeCoefficients(end, this.c1);
    }
    this.on.advance(frames);
    const last = shapeMoves ? end : start;
    if (!moving) this.writeCoefficients(last, this.c1);

    const high = frames * factor;
    const { signal, difference, added, other } = buffers;
    const corners = this.shapesCorners;
    if (on0 > 0 || on1 > 0) {
      kernels.preGain(signal, added, high, start.pre, last.pre);
      const emphasis = start.tilt !== 0 || last.tilt !== 0;
      if (emphasis) this.tilt(added, high, this.state, start, last, 1);
      if (corners) {
        kernels.shapeCorners(
          this.kernel,
          added,
          high,
          this.c0,
          this.c1,
          shapeMoves ? 1 : 0,
          this.state + CORNER_HISTORY,
        );
      } else if (shapeMoves) {
        kernels.shapeMoving(this.kernel, added, added, other, high, this.c0, this.c1);
      } else {
        kernels.shape(this.kernel, added, added, high, this.c1);
      }
      if (emphasis) this.tilt(added, high, this.state + 16, start, last, -1);
    } else {
      this.heap.clear(added, high * 8);
    }
    if (corners) {
      kernels.delay(signal, high, CORNER_DELAY, this.state + DELAYED_SIGNAL);
      kernels.delay(difference, high, CORNER_DELAY, this.state + DELAYED_DIFFERENCE);
    }
    if (!moving && on0 === 1) {
      // biome-ignore format: one call
      kernels.addStill(signal, difference, added, high, last.linear, last.post, last.coupling, this.pole, this.state + 32);
      return;
    }
    kernels.addStage(
      signal,
      difference,
      added,
      high,
      1 + (start.linear - 1) * on0,
      1 + (last.linear - 1) * on1,
      start.post,
      last.post,
      start.coupling,
      last.coupling,
      on0,
      on1,
      this.pole,
      this.state + 32,
    );
  }

  /** Emphasis (`direction` 1) or its exact inverse (−1). */
  private tilt(
    buffer: number,
    frames: number,
    state: number,
    start: StageGains,
    end: StageGains,
    direction: 1 | -1,
  ): void {
    this.kernels.tilt(
      buffer,
      frames,
      state,
      this.tiltPole(start, direction),
      this.tiltPole(end, direction),
      dbToGain((-direction * start.tilt) / 2),
      dbToGain((-direction * end.tilt) / 2),
      dbToGain((direction * start.tilt) / 2),
      dbToGain((direction * end.tilt) / 2),
    );
  }

  /**
   * a = g/(1 + g) of the trapezoidal one-pole. The shelf (s·h + ω₀)/(s + h·ω₀), h the high gain, has its corner at h·ω₀
   * and gain 1 at ω₀; its inverse has 1/h. Both use the same bilinear map, so that they cancel exactly.
   */
  private tiltPole(gains: StageGains, direction: 1 | -1): number {
    const g = Math.tan((Math.PI * gains.tiltHz) / (this.rate * this.factor)) * dbToGain((direction * gains.tilt) / 2);
    return g / (1 + g);
  }

  private derive(values: Float64Array, out: StageGains): void {
    const at = commonIndex.get(this.kind) as Record<string, number>;
    const trimIn = dbToGain(values[at.trimIn]);
    const trimOut = dbToGain(values[at.trimOut]);
    const drive = (dbToGain(values[at.drive]) * this.amplitude) / this.alignment();
    const polarity = 1 - 2 * values[at.polarity];
    out.pre = trimIn * drive;
    out.linear = polarity * trimIn * trimOut;
    out.post = (polarity * trimOut * values[at.blend]) / 100 / drive;
    out.coupling = 1 - values[at.coupling];
    out.tilt = values[at.tilt];
    out.tiltHz = values[at.tiltFrequency];
    this.kind.curve.coefficients(values, out.coefficients);
  }

  private writeCoefficients(gains: StageGains, address: number): void {
    const { f32 } = this.heap;
    const count = this.kind.curve.coefficientCount;
    for (let i = 0; i < count; i++) f32[(address >> 2) + i] = gains.coefficients[i];
  }
}
