import { dbToGain } from '../dsp/units.ts';
import type { Place } from '../engine/graph-plan.ts';
import type { FromProcessor, ToProcessor } from '../engine/protocol.ts';
import type { ListeningGains } from '../render/listening-config.ts';
import { listeningConfig, NO_GAINS } from '../render/listening-config.ts';
import type { SessionDocument } from '../session/document.ts';
import { MIX_ID } from '../session/document.ts';
import type { Side } from '../stores/player-store.ts';
import { EngineHost } from './engine-host.ts';
import { downstream, type RackPlace, SettingsPrints } from './settings-prints.ts';

export interface RemoteEvents {
  /** Everything that is measured live starts anew. */
  started(): void;
  /** These racks sound otherwise from `serial` on. */
  changedSound(places: readonly RackPlace[], serial: number): void;
}

const SIDE: Record<Side, 'a' | 'b' | 'added'> = { clean: 'a', coloured: 'b', added: 'added' };
const MUTED_DB = -60;

/**
 * What the engine in the audio thread is told. It is kept here, so that it can be said before there is an engine and
 * again after a loss; it has serial numbers, so that each measurement says what it answers.
 */
export class EngineRemote {
  side: Side = 'coloured';
  panic = false;
  monitorDb = 0;
  /** Match gains and headroom, which the document doesn't store; set them before `configure`. */
  gains: ListeningGains = NO_GAINS;
  host: EngineHost | null = null;

  private document: SessionDocument | null = null;
  private tapId = MIX_ID;
  private addedGain = 1;
  private recording = false;
  private serial = 0;
  private tapSerial = 0;
  private levelsSerial = 0;
  private readonly prints = new SettingsPrints();

  constructor(private readonly events: RemoteEvents) {}

  /** Starts an engine for the document that was configured last and tells it everything. @throws AudioStartError */
  async start(receive: (message: FromProcessor) => void, lost: (reason: string) => void): Promise<void> {
    const { document } = this;
    if (this.host || !document) return;
    const { sampleRate, alignmentDbfs } = document;
    this.host = await EngineHost.start(sampleRate, alignmentDbfs, listeningConfig(document, this.gains), receive, lost);
    this.configure('reset', this.document ?? document);
    this.listen();
    this.setTap(this.tapId);
    this.setMonitorDb(this.monitorDb);
    if (this.panic) this.setPanic(true);
    if (this.recording) this.record(true);
  }

  /** Throws the engine and its context away; what it was told is kept. */
  drop(): void {
    void this.host?.close();
    this.host = null;
  }

  /** Tells the engine the session as it is now, and whoever measures which racks that changes. */
  configure(type: 'update' | 'reset', document: SessionDocument): void {
    this.document = document;
    const config = listeningConfig(document, this.gains);
    this.send({ type, config, serial: ++this.serial });
    const layout = JSON.stringify([document.channels, document.buses].map((list) => list.map(({ id }) => id)));
    const places = this.prints.take(layout, config);
    if (places === null) this.measureAnew();
    else if (places.length > 0) this.events.changedSound(places, this.serial);
  }

  /** A new match gain of one rack, heard at once (it glides). */
  setMatch(rackId: string, gain: number): void {
    const { point, index } = this.pointOf(rackId);
    this.send({ type: 'match', rack: point, index, gain, serial: ++this.serial });
    if (!this.document) return;
    const config = listeningConfig(this.document, this.gains);
    this.events.changedSound(downstream(config, { point, index }), this.serial);
  }

  /** Rack whose output both sides are watched at. */
  setTap(rackId: string): void {
    this.tapId = rackId;
    this.tapSerial = ++this.serial;
    this.send({ type: 'tap', ...this.pointOf(rackId), serial: this.serial });
  }

  resetLevels(): void {
    this.levelsSerial = ++this.serial;
    this.send({ type: 'reset-levels', serial: this.serial });
  }

  /** Nothing that was measured live before is of what sounds now. */
  measureAnew(): void {
    this.setTap(this.tapId);
    this.resetLevels();
    this.events.started();
  }

  /** False for what is still under way of something else. */
  isOfNow(message: Extract<FromProcessor, { type: 'tap' | 'levels' }>): boolean {
    return message.type === 'tap' ? message.stamp.tap === this.tapSerial : message.stamp.reset === this.levelsSerial;
  }

  /** Gain of the clean side that "added" subtracts. */
  setAddedGain(gain: number): void {
    this.addedGain = gain;
    if (this.side === 'added') this.listen();
  }

  setSide(side: Side): void {
    this.side = side;
    this.listen();
  }

  setPanic(on: boolean): void {
    this.panic = on;
    this.send({ type: 'panic', on });
  }

  setMonitorDb(db: number): void {
    this.monitorDb = Math.min(0, Math.max(MUTED_DB, db));
    this.send({ type: 'monitor', gain: this.monitorDb <= MUTED_DB ? 0 : dbToGain(this.monitorDb) });
  }

  /** Starts and stops handing out what the loudspeakers get. */
  record(on: boolean): void {
    this.recording = on;
    this.send({ type: 'record', on });
  }

  /** Silence for so long, then a short fade in. */
  startSoftly(holdSeconds: number): void {
    this.send({ type: 'soft-start', holdSeconds });
  }

  /** Gives a message's buffer back to the audio thread. */
  recycle(buffer: ArrayBuffer): void {
    this.send({ type: 'recycle', buffer }, [buffer]);
  }

  /** Where a rack stands in the engine. */
  pointOf(rackId: string): { point: Place; index: number } {
    const channel = this.document?.channels.findIndex(({ id }) => id === rackId) ?? -1;
    if (channel >= 0) return { point: 'channel', index: channel };
    const bus = this.document?.buses.findIndex(({ id }) => id === rackId) ?? -1;
    return bus >= 0 ? { point: 'bus', index: bus } : { point: 'mix', index: 0 };
  }

  private listen(): void {
    this.send({ type: 'listen', side: SIDE[this.side], addedGain: this.addedGain });
  }

  private send(message: ToProcessor, transfer?: Transferable[]): void {
    this.host?.send(message, transfer);
  }
}
