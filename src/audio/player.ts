import type { FromProcessor, ReportStamp, TapStamp } from '../engine/protocol.ts';
import type { ListeningGains } from '../render/listening-config.ts';
import { NO_GAINS } from '../render/listening-config.ts';
import type { Planes } from '../render/rack-renderer.ts';
import type { SessionDocument } from '../session/document.ts';
import { Notifier } from '../stores/observable.ts';
import type { PlayerState, PlayerStore, Side } from '../stores/player-store.ts';
import type { IAudioContext } from './audio-library.ts';
import { watchClock } from './clock-watch.ts';
import type { RemoteEvents } from './engine-remote.ts';
import { EngineRemote } from './engine-remote.ts';
import { AudioStartError } from './open-context.ts';
import { watchPace } from './pace-watch.ts';
import { PlayPosition } from './play-position.ts';
import { SessionSources } from './session-sources.ts';

export interface PlayerEvents extends RemoteEvents {
  /** False while something else has the loudspeakers. */
  mayPlay(): boolean;
  /** A block of both sides at the tapped rack: planes A left, A right, B left, B right. Give it back by `recycle`. */
  tap(buffer: ArrayBuffer, stamp: TapStamp): void;
  /** A level report of the last 100 ms (`LevelTaps.report`); give its buffer back by `recycle`. */
  levels(buffer: ArrayBuffer, stamp: ReportStamp): void;
  /** The sound has stopped. */
  stopped(): void;
  /** Live loudness starts anew on request. */
  levelsReset(): void;
  /** What the loudspeakers got, while recording. */
  recorded(planes: readonly Float32Array[]): void;
  fault(text: string): void;
}

/** Silence before a start, in which old sources stop and new ones begin, seconds. */
const START_LEAD = 0.03;
/** How long the guard's sign stays lit, ms. */
const GUARD_LIT = 3000;

/**
 * Plays the session: one buffer source per channel, all started at one time of the context's clock so that they stay
 * sample-synchronous, into the one worklet node. After a loss it starts again with all that the engine must know.
 */
export class Player extends Notifier implements PlayerStore {
  state: PlayerState = 'idle';
  playing = false;
  guardActing = false;
  lateShare = 0;

  private readonly engine: EngineRemote;
  private readonly sources = new SessionSources();
  private readonly position = new PlayPosition();
  private document: SessionDocument | null = null;
  private guardTimer: ReturnType<typeof setTimeout> | undefined;
  private endWatches: () => void = () => undefined;
  private hasLagged = false;

  constructor(private readonly events: PlayerEvents) {
    super();
    this.engine = new EngineRemote(events);
  }

  get side(): Side {
    return this.engine.side;
  }
  get panic(): boolean {
    return this.engine.panic;
  }
  get monitorDb(): number {
    return this.engine.monitorDb;
  }

  /** Length of the session, seconds. */
  get durationSeconds(): number {
    if (!this.document) return 0;
    return this.sources.frames / this.document.sampleRate;
  }

  positionSeconds(): number {
    const { host } = this.engine;
    return this.position.at(this.playing && host ? host.context.currentTime : null);
  }

  /** Takes a session whose channels' sound is known; what plays stops. */
  load(document: SessionDocument, planes: ReadonlyMap<string, Planes>): void {
    this.stop();
    const rateChanged = this.document !== null && this.document.sampleRate !== document.sampleRate;
    this.document = document;
    this.engine.gains = NO_GAINS;
    this.sources.take(planes);
    this.sources.forget();
    this.position.from = document.loop?.startSeconds ?? 0;
    if (rateChanged) this.drop();
    this.engine.configure('reset', document);
    this.engine.measureAnew();
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
    this.engine.configure('update', document);
    const channelsChanged =
      before?.channels.map(({ id }) => id).join() !== document.channels.map(({ id }) => id).join();
    const loopChanged =
      before?.loop?.startSeconds !== document.loop?.startSeconds ||
      before?.loop?.endSeconds !== document.loop?.endSeconds;
    if (channelsChanged || soundsChanged) this.sources.forget();
    if (this.playing && planes.size === 0) this.stop();
    if (this.playing && (channelsChanged || soundsChanged || loopChanged)) this.restart(this.positionSeconds());
    else if (soundsChanged) this.engine.measureAnew();
    if (this.state === 'idle' && !this.sources.isEmpty) this.state = 'ready';
    this.notify();
  }

  /** Match gains and headroom as they are heard from the next `update` on, and the gain of clean in "added" at once. */
  setGains(gains: ListeningGains, addedGain: number): void {
    this.engine.gains = gains;
    this.engine.setAddedGain(addedGain);
  }

  /** A new match gain of one rack, heard at once (it glides). */
  setMatch(rackId: string, gain: number): void {
    this.engine.setMatch(rackId, gain);
  }

  /** Rack whose output both sides are watched at. */
  setTap(rackId: string): void {
    this.engine.setTap(rackId);
  }

  /** Where a rack stands in the engine. */
  pointOf(rackId: string): ReturnType<EngineRemote['pointOf']> {
    return this.engine.pointOf(rackId);
  }

  setSide(side: Side): void {
    this.engine.setSide(side);
    this.notify();
  }

  setPanic(on: boolean): void {
    this.engine.setPanic(on);
    this.notify();
  }

  setMonitorDb(db: number): void {
    this.engine.setMonitorDb(db);
    this.notify();
  }

  /** Takes a tap block's buffer back for the audio thread. */
  recycle(buffer: ArrayBuffer): void {
    this.engine.recycle(buffer);
  }

  /** Live loudness starts anew. */
  resetLevels(): void {
    this.engine.resetLevels();
    this.events.levelsReset();
  }

  /** Starts and stops handing out what the loudspeakers get. */
  record(on: boolean): void {
    this.engine.record(on);
  }

  async play(): Promise<void> {
    if (this.playing || !this.document || this.sources.isEmpty || !this.events.mayPlay()) return;
    try {
      await this.start();
      if (!(await this.engine.host?.wake())) {
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
      this.restart(this.position.from);
    } catch {
      this.stop();
      this.sources.forget();
      this.events.fault(
        'There is not enough memory to play all channels. Close other tabs, or remove channels; nothing is lost.',
      );
      return;
    }
    this.endWatches();
    const { host } = this.engine;
    if (host) this.watch(host.context);
    this.notify();
  }

  private watch(context: IAudioContext): void {
    const ends = [watchClock(context, (reason) => this.recover(reason)), watchPace(context, (late) => this.lag(late))];
    this.endWatches = () => {
      for (const end of ends) end();
      this.lateShare = 0;
    };
  }

  /** Gaps are said once, and shown for as long as there are any. */
  private lag(late: number): void {
    const isNew = late > 0 && !this.hasLagged;
    this.lateShare = late;
    if (isNew) {
      this.hasLagged = true;
      this.events.fault(
        `This machine can't compute the session as fast as it plays: ${Math.round(100 * late)} % of the last seconds came too late, so there are gaps in what you hear. Switch off racks that you don't need to hear, or close other programs. Exports have no gaps.`,
      );
    }
    this.notify();
  }

  /** Stops with a short fade; the position stays. */
  stop(): void {
    if (!this.playing) return;
    this.position.from = this.positionSeconds();
    this.playing = false;
    this.state = 'ready';
    const { host } = this.engine;
    this.engine.startSoftly(START_LEAD);
    this.sources.stop(host ? host.context.currentTime + START_LEAD : 0);
    this.endWatches();
    this.events.stopped();
    this.notify();
  }

  seek(seconds: number): void {
    const to = Math.min(Math.max(0, seconds), this.durationSeconds);
    if (this.playing) this.restart(to);
    else this.position.from = to;
    this.notify();
  }

  private async start(): Promise<void> {
    if (this.engine.host) return;
    this.state = 'starting';
    this.notify();
    await this.engine.start(
      (message) => this.receive(message),
      (reason) => this.recover(reason),
    );
  }

  private restart(from: number): void {
    const { document, durationSeconds: duration, position } = this;
    const { host } = this.engine;
    if (!host || !document) return;
    const when = host.context.currentTime + START_LEAD;
    this.engine.startSoftly(START_LEAD);
    this.engine.measureAnew();
    position.begin(from, document.loop, duration, when);
    this.sources.start(host, document, { when, at: position.from, loop: position.loop, duration });
  }

  private receive(message: FromProcessor): void {
    if (message.type === 'recorded') this.events.recorded(planesOf(message.buffer, 2));
    else if (message.type === 'fault') this.events.fault(message.text);
    if (message.type !== 'tap' && message.type !== 'levels') return;
    if (message.type === 'tap' && message.reductionDb > 0.01) this.lightGuard();
    // What the engine says of silence, or what is still under way of something else, is nobody's figure.
    if (!this.playing || !this.engine.isOfNow(message)) this.recycle(message.buffer);
    else if (message.type === 'tap') this.events.tap(message.buffer, message.stamp);
    else this.events.levels(message.buffer, message.stamp);
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
    const wasPlaying = this.playing;
    this.position.from = this.positionSeconds();
    this.playing = false;
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
    this.endWatches();
    this.sources.drop();
    this.engine.drop();
  }
}

function planesOf(buffer: ArrayBuffer, count: number): Float32Array[] {
  const frames = buffer.byteLength / 4 / count;
  return Array.from({ length: count }, (_, plane) => new Float32Array(buffer, plane * frames * 4, frames));
}
