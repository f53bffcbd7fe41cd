import { Live } from '../audio/live.ts';
import { LiveLevels } from '../audio/live-levels.ts';
import { Player } from '../audio/player.ts';
import type { RackId, SessionDocument } from '../session/document.ts';
import { MIX_ID } from '../session/document.ts';
import type { RackLevels } from '../stores/level-store.ts';
import { Notifier } from '../stores/observable.ts';
import { Notices } from './notices.ts';

/** What is heard and what is measured while it is heard: the player, the analyser and the levels of the selected rack. */
export abstract class Listening extends Notifier {
  readonly notices = new Notices();
  readonly playerChanges = new Notifier();
  /** Ten times a second while sound runs. */
  readonly levelChanges = new Notifier();
  readonly levels = new LiveLevels();
  /** The analyser's settings changed. */
  readonly liveChanges = new Notifier();
  readonly live = new Live((buffer) => this.player.recycle(buffer));
  readonly player = new Player({
    changed: () => this.playerChanges.notify(),
    tap: (buffer, stamp) => {
      const since = this.levels.settingsOf(this.player.pointOf(this.selectedRack));
      // While new settings glide in, the block is of none of them.
      const settings = stamp.settings >= since ? since : -1;
      this.live.push(buffer, this.document.sampleRate, { at: stamp.at, settings });
    },
    levels: (buffer, stamp) => {
      this.levels.take(buffer, this.document.sampleRate, stamp);
      this.player.recycle(buffer);
      this.levelChanges.notify();
    },
    started: () => {
      this.levels.reset();
      this.live.reset(this.selectedRack);
      this.levelChanges.notify();
    },
    stopped: () => {
      this.levels.stop();
      this.live.stop();
      this.levelChanges.notify();
    },
    levelsReset: () => {
      this.levels.reset();
      this.levelChanges.notify();
    },
    changedSound: (places, serial) => {
      this.levels.restart(places, serial);
      const { point, index } = this.player.pointOf(this.selectedRack);
      if (places.some((place) => place.point === point && place.index === index)) this.live.outdate();
      this.levelChanges.notify();
    },
    recorded: (planes) => this.recorded?.(planes.map((plane) => plane.slice())),
    fault: (text) => this.notices.say('fault', text),
  });
  selectedRack: RackId = MIX_ID;
  /** What the loudspeakers got, for the tests. */
  recorded: ((planes: readonly Float32Array[]) => void) | null = null;

  abstract get document(): SessionDocument;

  /** Live levels at the selected rack; null until sound has run. */
  get selectedLevels(): RackLevels | null {
    const { point, index } = this.player.pointOf(this.selectedRack);
    return this.levels.of(this.selectedRack, point, index);
  }

  /** Shows, taps and analyses this rack from now on. */
  selectRack(rackId: RackId): void {
    this.selectedRack = rackId;
    this.live.reset(rackId);
    this.player.setTap(rackId);
    this.notify();
  }
}
