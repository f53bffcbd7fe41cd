import { instantiateKernels } from '../src/engine/kernels.ts';
import type { LevelTaps } from '../src/engine/level-taps.ts';
import { OutputGuard } from '../src/engine/output-guard.ts';
import type { FromProcessor, ProcessorOptions, ToProcessor } from '../src/engine/protocol.ts';
import { PROCESSOR_NAME, TAP_BYTES, TAP_FRAMES } from '../src/engine/protocol.ts';
import { MAX_FRAMES } from '../src/engine/rack-processor.ts';
import { SessionEngine } from '../src/engine/session-engine.ts';

/** After this nothing glides any more, seconds: moves of parameters, gains and matches take half of it at most. */
const SETTLE_SECONDS = 0.1;
/** The page may fall behind by so many blocks and reports (0.6 s and 2 s) before one is left out. */
const TAP_BUFFERS = 48;
const REPORT_BUFFERS = 20;

/**
 * The session engine in an audio worklet: a thin shell. One input per channel, one stereo output. It allocates when it
 * is made and when a message comes or goes; while sound runs it only fills pooled buffers. (Recording, which the tests
 * use to see what was put out, makes its buffers as it goes.)
 */
class SessionProcessor extends AudioWorkletProcessor {
  private readonly engine: SessionEngine;
  private readonly guard: OutputGuard;
  private readonly taps: Float32Array[];
  private readonly tapPlanes: Float32Array[][];
  /** Both sides of the block at hand, for the guard: left and right of A, then of B. */
  private readonly sides: Float32Array[];
  private readonly sidePlanes: Float32Array[][];
  private readonly recordPlanes: Float32Array[];
  private readonly pool: Float32Array<ArrayBuffer>[] = [];
  private readonly reports: Float64Array<ArrayBuffer>[] = [];
  private tapFill = 0;
  /** Frames processed before the tap's buffer. */
  private tapAt = 0;
  private tapSerial = 0;
  private resetSerial = 0;
  /** Serial of the newest settings, of the newest that have settled, and the frames until the newest have. */
  private serial = 0;
  private settled = 0;
  private settling = 0;
  private readonly settleFrames: number;
  /** What had settled when the tap's buffer and the level report began. */
  private tapSettings = 0;
  private reportSettings = 0;
  private missedReports = 0;
  private recordFill = 0;
  private recording = false;
  private reduction = 0;

  constructor(options: { processorOptions: ProcessorOptions }) {
    super();
    const { engine, config, module, bytes } = options.processorOptions;
    this.engine = new SessionEngine(instantiateKernels(module ?? bytes), engine);
    this.engine.reset(config);
    this.engine.listenNow('b');
    this.guard = new OutputGuard(engine.sampleRate);
    this.settleFrames = Math.round(SETTLE_SECONDS * engine.sampleRate);
    this.taps = Array.from({ length: 4 }, () => new Float32Array(TAP_FRAMES + MAX_FRAMES));
    this.tapPlanes = [this.taps.slice(0, 2), this.taps.slice(2, 4)];
    this.sides = Array.from({ length: 4 }, () => new Float32Array(MAX_FRAMES));
    this.sidePlanes = [this.sides.slice(0, 2), this.sides.slice(2, 4)];
    this.recordPlanes = [new Float32Array(TAP_FRAMES), new Float32Array(TAP_FRAMES)];
    for (let i = 0; i < TAP_BUFFERS; i++) this.pool.push(new Float32Array(4 * TAP_FRAMES));
    const reportLength = this.engine.levels?.report.length ?? 0;
    for (let i = 0; i < REPORT_BUFFERS; i++) this.reports.push(new Float64Array(reportLength));
    this.port.onmessage = ({ data }: MessageEvent<ToProcessor>) => this.receive(data);
    this.send({ type: 'ready' });
  }

  private receive(message: ToProcessor): void {
    switch (message.type) {
      case 'update':
        this.engine.update(message.config);
        this.settle(message.serial);
        break;
      case 'reset':
        this.engine.reset(message.config);
        // Nothing glides after it.
        this.serial = this.settled = message.serial;
        this.settling = 0;
        break;
      case 'match':
        this.engine.setMatch(message.rack, message.index, message.gain);
        this.settle(message.serial);
        break;
      case 'listen':
        this.engine.listen(message.side, message.addedGain);
        break;
      case 'tap':
        this.engine.tap(message.point, message.index);
        this.tapSerial = message.serial;
        this.tapAt += this.tapFill;
        this.tapFill = 0;
        this.tapSettings = this.settled;
        break;
      case 'soft-start':
        this.guard.softStart(message.holdSeconds);
        break;
      case 'monitor':
        this.guard.setMonitor(message.gain);
        break;
      case 'panic':
        this.guard.setMute(message.on);
        break;
      case 'record':
        this.recording = message.on;
        this.recordFill = 0;
        break;
      case 'recycle':
        if (message.buffer.byteLength === TAP_BYTES) this.pool.push(new Float32Array(message.buffer));
        else this.reports.push(new Float64Array(message.buffer));
        break;
      case 'reset-levels':
        this.engine.levels?.reset();
        this.resetSerial = message.serial;
        this.missedReports = 0;
        this.reportSettings = this.settled;
        break;
    }
  }

  private settle(serial: number): void {
    this.serial = serial;
    this.settling = this.settleFrames;
  }

  private send(message: FromProcessor, transfer: ArrayBuffer[] = []): void {
    this.port.postMessage(message, transfer);
  }

  process(inputs: Float32Array[][], outputs: Float32Array[][]): boolean {
    const output = outputs[0];
    const frames = output[0].length;
    const right = output.length > 1 ? output[1] : output[0];
    for (let at = 0; at < frames; at += MAX_FRAMES) {
      const span = Math.min(MAX_FRAMES, frames - at);
      this.engine.process(inputs, output, span, at);
      this.keepTap(span);
      if (this.engine.levels?.advance(span)) this.report(this.engine.levels);
      this.engine.readSide(0, this.sidePlanes[0], 0, span);
      this.engine.readSide(1, this.sidePlanes[1], 0, span);
      this.guard.process(output[0], right, at, at + span, this.sides);
      if (this.settling > 0) {
        this.settling -= span;
        if (this.settling <= 0) this.settled = this.serial;
      }
    }
    if (this.recording) this.record(output[0], right, frames);
    return true;
  }

  /** Hands a level report out; without a free buffer it is left out, but for its peaks. */
  private report(levels: LevelTaps): void {
    const target = this.reports.pop();
    levels.keepsPeaks = !target;
    if (!target) {
      this.missedReports++;
      return;
    }
    target.set(levels.report);
    const stamp = { reset: this.resetSerial, settings: this.reportSettings, missed: this.missedReports };
    this.send({ type: 'levels', buffer: target.buffer, stamp }, [target.buffer]);
    this.missedReports = 0;
    this.reportSettings = this.settled;
  }

  private keepTap(frames: number): void {
    this.engine.readTap(0, this.tapPlanes[0], this.tapFill, frames);
    this.engine.readTap(1, this.tapPlanes[1], this.tapFill, frames);
    this.tapFill += frames;
    if (this.tapFill < TAP_FRAMES) return;
    this.reduction = Math.max(this.reduction, this.guard.takeReductionDb());
    const target = this.pool.pop();
    // Without a free buffer the page is behind: this frame is left out rather than made anew.
    if (target) {
      const { buffer } = target;
      for (let plane = 0; plane < 4; plane++) {
        for (let i = 0; i < TAP_FRAMES; i++) target[plane * TAP_FRAMES + i] = this.taps[plane][i];
      }
      const stamp = { tap: this.tapSerial, at: this.tapAt, settings: this.tapSettings };
      this.send({ type: 'tap', buffer, reductionDb: this.reduction, stamp }, [buffer]);
      this.reduction = 0;
    }
    this.tapAt += TAP_FRAMES;
    this.tapSettings = this.settled;
    const left = this.tapFill - TAP_FRAMES;
    for (const plane of this.taps) plane.copyWithin(0, TAP_FRAMES, TAP_FRAMES + left);
    this.tapFill = left;
  }

  private record(left: Float32Array, right: Float32Array, frames: number): void {
    for (let i = 0; i < frames; i++) {
      this.recordPlanes[0][this.recordFill] = left[i];
      this.recordPlanes[1][this.recordFill] = right[i];
      this.recordFill++;
      if (this.recordFill < TAP_FRAMES) continue;
      this.recordFill = 0;
      const buffer = new ArrayBuffer(2 * TAP_FRAMES * 4);
      new Float32Array(buffer).set(this.recordPlanes[0]);
      new Float32Array(buffer).set(this.recordPlanes[1], TAP_FRAMES);
      this.send({ type: 'recorded', buffer }, [buffer]);
    }
  }
}

registerProcessor(PROCESSOR_NAME, SessionProcessor);
