import { Live } from '../audio/live.ts';
import { LiveLevels } from '../audio/live-levels.ts';
import { Player } from '../audio/player.ts';
import type { RackId, SessionDocument } from '../session/document.ts';
import { MIX_ID } from '../session/document.ts';
import type { LevelStore, RackLevels } from '../stores/level-store.ts';
import { Notifier } from '../stores/observable.ts';

export interface PlaybackHost {
  readonly document: SessionDocument;
  /** False while a blind trial has the loudspeakers. */
  mayPlay(): boolean;
  fault(text: string): void;
}

/** What is heard, and what is measured while it is heard: the player, the analyser and the levels of the watched rack. */
export class Playback {
  /** What the loudspeakers got, for the tests. */
  recorded: ((planes: readonly Float32Array[]) => void) | null = null;
  readonly live = new Live((buffer) => this.player.recycle(buffer));
  readonly player: Player;
  readonly levels: WatchedLevels;
  private watched: RackId = MIX_ID;

  constructor(host: PlaybackHost) {
    const meters = new LiveLevels();
    const place = () => this.player.pointOf(this.watched);
    this.player = new Player({
      mayPlay: () => host.mayPlay(),
      tap: (buffer, stamp) => {
        const since = meters.settingsOf(place());
        // While new settings glide in, the block is of none of them.
        const settings = stamp.settings >= since ? since : -1;
        this.live.push(buffer, host.document.sampleRate, { at: stamp.at, settings });
      },
      levels: (buffer, stamp) => {
        meters.take(buffer, host.document.sampleRate, stamp);
        this.player.recycle(buffer);
        this.levels.notify();
      },
      started: () => {
        meters.reset();
        this.live.reset(this.watched);
        this.levels.notify();
      },
      stopped: () => {
        meters.stop();
        this.live.stop();
        this.levels.notify();
      },
      levelsReset: () => {
        meters.reset();
        this.levels.notify();
      },
      changedSound: (places, serial) => {
        meters.restart(places, serial);
        const { point, index } = place();
        if (places.some((one) => one.point === point && one.index === index)) this.live.outdate();
        this.levels.notify();
      },
      recorded: (planes) => this.recorded?.(planes.map((plane) => plane.slice())),
      fault: (text) => host.fault(text),
    });
    this.levels = new WatchedLevels(this.player, meters, () => this.watched);
  }

  /** Taps, analyses and meters this rack from now on. */
  watch(rackId: RackId): void {
    this.watched = rackId;
    this.live.reset(rackId);
    this.player.setTap(rackId);
    this.levels.notify();
  }
}

/** Live levels at the watched rack; changes ten times a second while sound runs. */
class WatchedLevels extends Notifier implements LevelStore {
  constructor(
    private readonly player: Player,
    /** Of all racks. */
    readonly meters: LiveLevels,
    private readonly watched: () => RackId,
  ) {
    super();
  }

  get latest(): RackLevels | null {
    const { point, index } = this.player.pointOf(this.watched());
    return this.meters.of(this.watched(), point, index);
  }

  reset(): void {
    this.player.resetLevels();
  }
}
