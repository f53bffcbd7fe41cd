import { dbToGain } from '../dsp/units.ts';
import type { StageConfig } from './config.ts';
import type { Heap } from './heap.ts';
import { COEFFICIENT_BYTES } from './kernel-table.generated.ts';
import type { Kernels } from './kernels.ts';
import { CORNER_DELAY } from './oversampling.ts';
import type { Parameter } from './parameters.ts';
import { PLACEMENT_STATE, Placement } from './placement.ts';
import { Ramp, raisedCosine } from './ramp.ts';
import { ShapeTable } from './shape-table.ts';
import type { Circuit, StageKind } from './stages/stage-kind.ts';
import { MAX_COEFFICIENTS } from './stages/stage-kind.ts';
import { MAX_PARAMETERS, type StageKinds } from './stages/stage-kinds.ts';

/** How long a parameter takes to its new value, seconds. */
const PARAMETER_SECONDS = 0.04;
/** How long a stage takes to switch on or off, seconds. */
const SWITCH_SECONDS = 0.008;
/** Corner of the AC coupling, Hz: one pole, on what the stage adds only. At 20 Hz it costs that 0.04 dB. */
const COUPLING_HZ = 2;

const NARROW = 8 * MAX_COEFFICIENTS;

// A stage's memory in bytes: two emphasis filters and the AC coupling (16 each), the band's filters, corner shaping, the
// circuit's own, and two delay lines.
const BAND = 48;
const CORNER_HISTORY = BAND + PLACEMENT_STATE;
const CIRCUIT = CORNER_HISTORY + 208;

/** Gains that follow from a stage's values; everything else is the curve's. */
class StageGains {
  pre = 1;
  linear = 1;
  post = 0;
  coupling = 1;
  tilt = 0;
  tiltHz = 800;
  readonly placement = new Placement();
  /** Address of the circuit's coefficients. */
  coefficients = 0;
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
 * y = g·x + highpass(circuit(b(x)) − g·b(x))·blend, with circuit: trim in, emphasis, drive, curve, 1/drive, de-emphasis,
 * trim out. Only the difference is computed; `g` is the stage's small-signal gain, trims and polarity, `b` the part of
 * the signal that it colours (`Placement`).
 */
export class StageProcessor {
  key = '';
  /** Null for a kind that isn't there: such a stage passes the signal as it is. */
  kind: StageKind | null = null;
  circuit: Circuit | null = null;
  /** The curve is driven so hard that plain samples wouldn't follow it (`shaping.ts`). */
  isHard = false;
  /** 0 to 1: how much the stage is switched on. */
  readonly on = new Ramp(0);

  private readonly values = new Float64Array(MAX_PARAMETERS);
  private readonly from = new Float64Array(MAX_PARAMETERS);
  private readonly target = new Float64Array(MAX_PARAMETERS);
  private amplitude = 1;
  private fromAmplitude = 1;
  private targetAmplitude = 1;
  private position = 0;
  private length = 0;
  private factor = 4;
  /** Coefficient of the AC coupling's one-pole. */
  private pole = 0;
  /** What follows from the values as they are now and, in a pass in which they move, as they were at its start. */
  private now = new StageGains();
  private before = new StageGains();
  /** The values, or the alignment level, have moved on since `now` was derived. */
  private isStale = true;
  private derivedAlignment = 1;

  private readonly inputs: number;
  private readonly table: ShapeTable;
  private readonly state: number;
  private readonly stateBytes: number;
  private readonly delayedSignal: number;
  private readonly delayedDifference: number;

  constructor(
    private readonly kernels: Kernels,
    private readonly heap: Heap,
    private readonly rate: number,
    private readonly alignment: () => number,
    private readonly kinds: StageKinds,
    /** Corners are sampled plainly. */
    private readonly isQuick: boolean,
  ) {
    this.now.coefficients = heap.allocate(COEFFICIENT_BYTES);
    this.before.coefficients = heap.allocate(COEFFICIENT_BYTES);
    this.inputs = heap.allocate(MAX_COEFFICIENTS * 8);
    this.table = new ShapeTable(kernels, heap);
    const delayed = CIRCUIT + (((kinds.stateBytes + 15) >> 4) << 4);
    const line = kinds.delayFrames * 8;
    this.stateBytes = delayed + 2 * line;
    this.state = heap.allocate(this.stateBytes);
    this.delayedSignal = this.state + delayed;
    this.delayedDifference = this.delayedSignal + line;
  }

  /** Frames of delay at the higher rate. */
  get delay(): number {
    return (this.circuit?.delayFrames ?? 0) + (this.shapesCorners ? CORNER_DELAY : 0);
  }

  private get shapesCorners(): boolean {
    return !this.isQuick && this.circuit !== null && (this.circuit.hasCorners || this.isHard);
  }

  get moving(): boolean {
    return this.position < this.length || this.on.moving;
  }

  /** False when the stage adds nothing and won't until it is switched. */
  get audible(): boolean {
    return this.circuit !== null && (this.on.moving || this.on.target > 0);
  }

  /**
   * Becomes another stage, with cleared memory, over-sampled by `factor` and driven hard or not. `isAtOnce`: nothing is
   * heard yet, so that its table may be made whole.
   */
  become(config: StageConfig, factor: number, isHard: boolean, isAtOnce: boolean): void {
    this.factor = factor;
    this.isHard = isHard;
    this.pole = 1 - Math.exp((-2 * Math.PI * COUPLING_HZ) / (this.rate * factor));
    this.key = config.key;
    this.kind = this.kinds.find(config.kind);
    this.circuit = this.kind?.circuit(config.values) ?? null;
    this.target.set(config.values);
    this.values.set(config.values);
    this.amplitude = config.amplitude;
    this.targetAmplitude = config.amplitude;
    this.position = 0;
    this.length = 0;
    this.on.jump(config.on ? 1 : 0);
    this.clear();
    this.isStale = true;
    this.table.take(this.circuit, config.values);
    if (!isAtOnce || !this.circuit) return;
    this.refresh();
    this.table.complete(this.circuit, this.now.coefficients);
  }

  /** Moves to new values and a new switch position; kind and circuit must be the same. */
  moveTo(config: StageConfig): void {
    this.on.start(config.on ? 1 : 0, Math.round(SWITCH_SECONDS * this.rate));
    let changed = this.targetAmplitude !== config.amplitude;
    for (let i = 0; i < config.values.length; i++) changed ||= this.target[i] !== config.values[i];
    if (!changed) return;
    this.table.take(this.circuit, config.values);
    this.from.set(this.values);
    this.target.set(config.values);
    this.fromAmplitude = this.amplitude;
    this.targetAmplitude = config.amplitude;
    this.position = 0;
    this.length = Math.round(PARAMETER_SECONDS * this.rate);
  }

  /** Most base frames that it can be given at once: its table takes the curve over between two passes, wherever they end. */
  get mostFrames(): number {
    if (this.position < this.length || !this.circuit?.hasTable) return Number.POSITIVE_INFINITY;
    return this.table.framesLeft;
  }

  /** Forgets all sound. */
  clear(): void {
    this.heap.clear(this.state, this.stateBytes);
  }

  /** Small-signal gain of the stage now, its switch included. */
  linearGain(): number {
    this.refresh();
    return 1 + (this.now.linear - 1) * this.on.at(0);
  }

  /** Advances the values by `frames` base frames without sound. */
  skip(frames: number): void {
    this.step(frames);
    this.on.advance(frames);
  }

  private step(frames: number): void {
    if (this.position >= this.length || !this.kind) return;
    this.isStale = true;
    this.position = Math.min(this.length, this.position + frames);
    const t = raisedCosine(this.position / this.length);
    const { parameters } = this.kind;
    for (let i = 0; i < parameters.length; i++) {
      const from = this.from[i];
      // Values move as their controls do: in ratios where those are logarithmic.
      this.values[i] = isLogarithmic(parameters[i])
        ? from * (this.target[i] / from) ** t
        : from + (this.target[i] - from) * t;
    }
    this.amplitude = this.fromAmplitude * (this.targetAmplitude / this.fromAmplitude) ** t;
    if (this.position < this.length) return;
    this.values.set(this.target);
    this.amplitude = this.targetAmplitude;
  }

  /** Processes `frames` base frames (factor times as many at the higher rate) in place. */
  process(buffers: StageBuffers, frames: number): void {
    const { kernels, circuit, factor } = this;
    if (!circuit) return;
    const moving = this.moving;
    const on0 = this.on.at(0);
    const on1 = this.on.at(frames);
    this.refresh();
    const shapeMoves = this.position < this.length;
    const start = this.now;
    if (shapeMoves) {
      this.now = this.before;
      this.before = start;
      this.step(frames);
      this.refresh();
    }
    this.on.advance(frames);
    const last = this.now;
    if (!shapeMoves) this.table.advance(circuit, last.coefficients, frames);
    this.table.join(start.coefficients);
    this.table.join(last.coefficients);

    const high = frames * factor;
    const { signal, difference, added } = buffers;
    const { delay } = this;
    if (on0 > 0 || on1 > 0) {
      kernels.preGain(signal, added, high, start.pre, last.pre);
      start.placement.enter(kernels, added, high, last.placement, this.state + BAND);
      const emphasis = start.tilt !== 0 || last.tilt !== 0;
      if (emphasis) this.tilt(added, high, this.state, start, last, 1);
      const turned = circuit.channels === 'middle-side';
      if (turned) exchange(kernels, added, high);
      this.shape(circuit, buffers, high, start.coefficients, last.coefficients);
      if (turned) exchange(kernels, added, high);
      if (emphasis) this.tilt(added, high, this.state + 16, start, last, -1);
      start.placement.leave(kernels, added, high, last.placement);
    } else {
      this.heap.clear(added, high * 8);
    }
    if (delay > 0) {
      kernels.delay(signal, high, delay, this.delayedSignal);
      kernels.delay(difference, high, delay, this.delayedDifference);
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

  /** Replaces what the circuit is given, in `added`, by what it adds. */
  private shape(circuit: Circuit, { added, other }: StageBuffers, high: number, c0: number, c1: number): void {
    const { kernels } = this;
    const { number } = circuit;
    if (this.shapesCorners) {
      const history = this.state + CORNER_HISTORY;
      kernels.shapeCorners(number, added, high, c0 + NARROW, c1 + NARROW, c0 === c1 ? 0 : 1, history);
    } else if (!circuit.isCurve) kernels.runCircuit(number, added, high, c0, c1, this.state + CIRCUIT);
    else if (c0 !== c1) kernels.shapeMoving(number, added, added, other, high, c0 + NARROW, c1 + NARROW);
    else kernels.shape(number, added, added, high, c1 + NARROW);
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

  /** Brings `now` up to date; next to nothing where nothing has moved. */
  private refresh(): void {
    const alignment = this.alignment();
    const { kind, circuit, values, now } = this;
    if (!kind || !circuit || (!this.isStale && alignment === this.derivedAlignment)) return;
    this.isStale = false;
    this.derivedAlignment = alignment;
    const { at } = kind;
    const trimIn = dbToGain(values[at.trimIn]);
    const trimOut = dbToGain(values[at.trimOut]);
    const drive = (dbToGain(values[at.drive]) * this.amplitude) / alignment;
    const polarity = 1 - 2 * values[at.polarity];
    now.pre = trimIn * drive;
    now.linear = polarity * trimIn * trimOut;
    now.post = (polarity * trimOut * values[at.blend]) / 100 / drive;
    now.coupling = 1 - values[at.coupling];
    now.tilt = values[at.tilt];
    now.tiltHz = values[at.tiltFrequency];
    now.placement.take(at, values, this.rate * this.factor);
    const { f64 } = this.heap;
    const { inputs } = circuit;
    for (let i = 0; i < inputs.length; i++) f64[(this.inputs >> 3) + i] = values[inputs[i]];
    this.kernels.prepare(circuit.number, this.inputs, now.coefficients, this.rate * this.factor);
  }
}

/** Left and right become middle and side, (L ± R)/√2, or back again, in place. */
function exchange(kernels: Kernels, buffer: number, frames: number): void {
  const h = Math.SQRT1_2;
  kernels.crossMix(buffer, frames, h, h, h, h, h, h, -h, -h);
}

function isLogarithmic(parameter: Parameter): boolean {
  return parameter.type === 'continuous' && parameter.taper === 'log';
}
