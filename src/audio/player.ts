import { dbToGain } from '../dsp/units.ts';
import type { Place } from '../engine/graph-plan.ts';
import type { FromProcessor, ReportStamp, TapStamp } from '../engine/protocol.ts';
import type { ListeningGains } from '../render/listening-config.ts';
import { listeningConfig, NO_GAINS } from '../render/listening-config.ts';
import type { Planes } from '../render/rack-renderer.ts';
import type { SessionDocument } from '../session/document.ts';
import { MIX_ID } from '../session/document.ts';
import { Notifier } from '../stores/observable.ts';
import type { PlayerState, PlayerStore, Side } from '../stores/player-store.ts';
import { watchClock } from './clock-watch.ts';
import { EngineHost } from './engine-host.ts';
import { AudioStartError } from './open-context.ts';
import { SessionSources } from './session-sources.ts';
import { downstream, type RackPlace, SettingsPrints } from './settings-prints.ts';

export interface PlayerEvents {
  /** False while something else has the loudspeakers. */
  mayPlay(): boolean;
  /** A block of both sides at the tapped rack: planes A left, A right, B left, B right. Give it back by `recycle`. */
  tap(buffer: ArrayBuffer, stamp: TapStamp): void;
  /** A level report of the last 100 ms (`LevelTaps.report`); give its buffer back by `recycle`. */
  levels(buffer: ArrayBuffer, stamp: ReportStamp): void;
  /** Sound starts from another place, or another session stands here: everything that is measured live starts anew. */
  started(): void;
  /** The sound has stopped. */
  stopped(): void;
  /** Live loudness starts anew on request. */
  levelsReset(): void;
  /** These racks sound otherwise from `serial` on. */
  changedSound(places: readonly RackPlace[], serial: number): void;
  /** What the loudspeakers got, while recording. */
  recorded(planes: readonly Float32Array[]): void;
  fault(text: string): void;
}

/** Silence before a start, in which old sources stop and new ones begin, seconds. */
const START_LEAD = 0.03;
/** How long the guard's sign stays lit, ms. */
const GUARD_LIT = 3000;

const SIDE: Record<Side, 'a' | 'b' | 'added'> = { clean: 'a', coloured: 'b', added: 'added' };

/**
 * Plays the session: one buffer source per channel, all started at one time of the context's clock so that they stay
 * sample-synchronous, into the one worklet node. Keeps what the engine must know and tells it anew after a loss.
 */
export class Player extends Notifier implements PlayerStore {
  state: PlayerState = 'idle';
  playing = false;
  side: Side = 'coloured';
  panic = false;
  monitorDb = 0;
  guardActing = false;

  /** Match gains and headroom, which the document doesn't store; set them before `update`. */
  gains: ListeningGains = NO_GAINS;

  private host: EngineHost | null = null;
  private readonly sources = new SessionSources();
  private document: SessionDocument | null = null;
  private tapId = MIX_ID;
  private addedGain = 1;
  private offset = 0;
  private startedAt = 0;
  private loop: readonly [number, number] = [0, 0];
  private guardTimer: ReturnType<typeof setTimeout> | undefined;
  private endClockWatch: () => void = () => undefined;
  private recording = false;
  /** Numbers what the engine is told; each measurement says which it answers. */
  private serial = 0;
  private tapSerial = 0;
  private levelsSerial = 0;
  private readonly prints = new SettingsPrints();

  constructor(private readonly events: PlayerEvents) {
    super();
  }

  /** Length of the session, seconds. */
  get durationSeconds(): number {
    if (!this.document) return 0;
    return this.sources.frames / this.document.sampleRate;
  }

  positionSeconds(): number {
    if (!this.playing || !this.host) return this.offset;
    const elapsed = Math.max(0, this.host.context.currentTime - this.startedAt);
    const [start, end] = this.loop;
    const at = this.offset + elapsed;
    return at < end || end <= start ? at : start + ((at - start) % (end - start));
  }

  /** Takes a session whose channels' sound is known; what plays stops. */
  load(document: SessionDocument, planes: ReadonlyMap<string, Planes>): void {
    this.stop();
    const rateChanged = this.document !== null && this.document.sampleRate !== document.sampleRate;
    this.document = document;
    this.gains = NO_GAINS;
    this.sources.take(planes);
    this.sources.forget();
    this.offset = document.loop?.startSeconds ?? 0;
    if (rateChanged) this.drop();
    else this.tellConfig('reset', document);
    this.measureAnew();
    this.state = !this.sources.isEmpty ? 'ready' : 'idle';
    this.notify();
  }

  setLoading(): void {
    this.state = 'loading';
    this.notify();
  }

  /** The document changed: the engine glides to it; a moved loop, other channels or other sound start anew. */
  update(document: SessionDocument, planes: ReadonlyMap<string, Planes>): void {
    const before = this.document;
    this.document = document;
    const soundsChanged = this.sources.take(planes);
    this.tellConfig('update', document);
    const channelsChanged =
      before?.channels.map(({ id }) => id).join() !== document.channels.map(({ id }) => id).join();
    const loopChanged =
      before?.loop?.startSeconds !== document.loop?.startSeconds ||
      before?.loop?.endSeconds !== document.loop?.endSeconds;
    if (channelsChanged || soundsChanged) this.sources.forget();
    if (this.playing && planes.size === 0) this.stop();
    if (this.playing && (channelsChanged || soundsChanged || loopChanged)) this.restart(this.positionSeconds());
    else if (soundsChanged) this.measureAnew();
    if (this.state === 'idle' && !this.sources.isEmpty) this.state = 'ready';
    this.notify();
  }

  /** A new match gain of one rack, heard at once (it glides). */
  setMatch(rackId: string, gain: number): void {
    const { point, index } = this.pointOf(rackId);
    this.serial++;
    this.host?.send({ type: 'match', rack: point, index, gain, serial: this.serial });
    if (!this.document) return;
    const config = listeningConfig(this.document, this.gains);
    this.events.changedSound(downstream(config, { point, index }), this.serial);
  }

  /** Rack whose output both sides are watched at. */
  setTap(rackId: string): void {
    this.tapId = rackId;
    const { point, index } = this.pointOf(rackId);
    this.serial++;
    this.tapSerial = this.serial;
    this.host?.send({ type: 'tap', point, index, serial: this.serial });
  }

  /** Gain of the clean side that "added" subtracts. */
  setAddedGain(gain: number): void {
    this.addedGain = gain;
    if (this.side === 'added') this.listen();
  }

  setSide(side: Side): void {
    this.side = side;
    this.listen();
    this.notify();
  }

  setPanic(on: boolean): void {
    this.panic = on;
    this.host?.send({ type: 'panic', on });
    this.notify();
  }

  setMonitorDb(db: number): void {
    this.monitorDb = Math.min(0, Math.max(-60, db));
    this.host?.send({ type: 'monitor', gain: this.monitorGain });
    this.notify();
  }

  /** Takes a tap block's buffer back for the audio thread. */
  recycle(buffer: ArrayBuffer): void {
    this.host?.send({ type: 'recycle', buffer }, [buffer]);
  }

  /** Live loudness starts anew. */
  resetLevels(): void {
    this.askLevels();
    this.events.levelsReset();
  }

  /** Starts and stops handing out what the loudspeakers get. */
  record(on: boolean): void {
    this.recording = on;
    this.host?.send({ type: 'record', on });
  }

  async play(): Promise<void> {
    if (this.playing || !this.document || this.sources.isEmpty || !this.events.mayPlay()) return;
    try {
      await this.ensureHost();
      if (!(await this.host?.wake())) {
        throw new AudioStartError('The browser keeps the sound asleep. Click into the page and press Play again.');
      }
    } catch (fault) {
      this.state = 'failed';
      this.events.fault(fault instanceof Error ? fault.message : String(fault));
      this.notify();
      return;
    }
    this.playing = true;
    this.state = 'running';
    try {
      this.restart(this.offset);
    } catch {
      this.stop();
      this.sources.forget();
      this.events.fault(
        'There is not enough memory to play all channels. Close other tabs, or remove channels; nothing is lost.',
      );
      return;
    }
    this.endClockWatch();
    if (this.host) this.endClockWatch = watchClock(this.host.context, (reason) => this.recover(reason));
    this.notify();
  }

  /** Stops with a short fade; the position stays. */
  stop(): void {
    if (!this.playing) return;
    this.offset = this.positionSeconds();
    this.playing = false;
    this.state = 'ready';
    this.host?.send({ type: 'soft-start', holdSeconds: START_LEAD });
    this.sources.stop(this.host ? this.host.context.currentTime + START_LEAD : 0);
    this.endClockWatch();
    this.events.stopped();
    this.notify();
  }

  seek(seconds: number): void {
    const to = Math.min(Math.max(0, seconds), this.durationSeconds);
    if (this.playing) this.restart(to);
    else this.offset = to;
    this.notify();
  }

  private get monitorGain(): number {
    return this.monitorDb <= -60 ? 0 : dbToGain(this.monitorDb);
  }

  private listen(): void {
    this.host?.send({ type: 'listen', side: SIDE[this.side], addedGain: this.addedGain });
  }

  /** Where a rack stands in the engine. */
  pointOf(rackId: string): { point: Place; index: number } {
    const channel = this.document?.channels.findIndex(({ id }) => id === rackId) ?? -1;
    if (channel >= 0) return { point: 'channel', index: channel };
    const bus = this.document?.buses.findIndex(({ id }) => id === rackId) ?? -1;
    return bus >= 0 ? { point: 'bus', index: bus } : { point: 'mix', index: 0 };
  }

  private async ensureHost(): Promise<void> {
    if (this.host || !this.document) return;
    this.state = 'starting';
    this.notify();
    const { sampleRate, alignmentDbfs } = this.document;
    this.host = await EngineHost.start(
      sampleRate,
      alignmentDbfs,
      listeningConfig(this.document, this.gains),
      (message) => this.receive(message),
      (reason) => this.recover(reason),
    );
    this.tellAll();
  }

  /** Everything the engine must know beside its configuration. */
  private tellAll(): void {
    if (this.document) this.tellConfig('reset', this.document);
    this.listen();
    this.setTap(this.tapId);
    this.host?.send({ type: 'monitor', gain: this.monitorGain });
    if (this.panic) this.host?.send({ type: 'panic', on: true });
    if (this.recording) this.host?.send({ type: 'record', on: true });
  }

  /** Tells the engine the session as it is now, and whoever measures which racks that changes. */
  private tellConfig(type: 'update' | 'reset', document: SessionDocument): void {
    const config = listeningConfig(document, this.gains);
    this.serial++;
    this.host?.send({ type, config, serial: this.serial });
    const layout = JSON.stringify([document.channels, document.buses].map((list) => list.map(({ id }) => id)));
    const places = this.prints.take(layout, config);
    if (places === null) this.measureAnew();
    else if (places.length > 0) this.events.changedSound(places, this.serial);
  }

  /** Nothing that was measured live before is of what sounds now. */
  private measureAnew(): void {
    this.setTap(this.tapId);
    this.askLevels();
    this.events.started();
  }

  private askLevels(): void {
    this.serial++;
    this.levelsSerial = this.serial;
    this.host?.send({ type: 'reset-levels', serial: this.serial });
  }

  private restart(from: number): void {
    const { host, document } = this;
    if (!host || !document) return;
    const { context } = host;
    const duration = this.durationSeconds;
    const start = document.loop ? Math.min(document.loop.startSeconds, duration) : 0;
    const end = document.loop ? Math.min(document.loop.endSeconds, duration) : duration;
    this.loop = end > start ? [start, end] : [0, duration];
    const at = from >= this.loop[1] ? this.loop[0] : from;
    const when = context.currentTime + START_LEAD;
    host.send({ type: 'soft-start', holdSeconds: START_LEAD });
    this.measureAnew();
    this.sources.start(host, document, { when, at, loop: this.loop, duration });
    this.offset = at;
    this.startedAt = when;
  }

  private receive(message: FromProcessor): void {
    if (message.type === 'tap') {
      if (message.reductionDb > 0.01) this.lightGuard();
      // What the engine says of silence, or what is still under way of something else, is nobody's figure.
      if (this.playing && message.stamp.tap === this.tapSerial) this.events.tap(message.buffer, message.stamp);
      else this.recycle(message.buffer);
    } else if (message.type === 'levels') {
      if (this.playing && message.stamp.reset === this.levelsSerial) this.events.levels(message.buffer, message.stamp);
      else this.recycle(message.buffer);
    } else if (message.type === 'recorded') {
      this.events.recorded(planesOf(message.buffer, 2));
    } else if (message.type === 'fault') {
      this.events.fault(message.text);
    }
  }

  private lightGuard(): void {
    clearTimeout(this.guardTimer);
    this.guardTimer = setTimeout(() => {
      this.guardActing = false;
      this.notify();
    }, GUARD_LIT);
    if (this.guardActing) return;
    this.guardActing = true;
    this.notify();
  }

  /** Throws the context away and, if it played, starts another one; the session is untouched. */
  private recover(reason: string): void {
    const position = this.positionSeconds();
    const wasPlaying = this.playing;
    this.playing = false;
    this.offset = position;
    this.state = 'ready';
    this.drop();
    this.events.stopped();
    this.events.fault(
      `Sound stopped: ${reason}. Nothing in the session is lost.${wasPlaying ? ' Starting again.' : ''}`,
    );
    this.notify();
    if (wasPlaying) setTimeout(() => void this.play(), 1000);
  }

  private drop(): void {
    this.endClockWatch();
    this.sources.drop();
    void this.host?.close();
    this.host = null;
  }
}

function planesOf(buffer: ArrayBuffer, count: number): Float32Array[] {
  const frames = buffer.byteLength / 4 / count;
  return Array.from({ length: count }, (_, plane) => new Float32Array(buffer, plane * frames * 4, frames));
}
