import { Live } from '../audio/live.ts';
import type { RackLevels } from '../audio/live-levels.ts';
import { LiveLevels } from '../audio/live-levels.ts';
import { Player } from '../audio/player.ts';
import type { RackId, SessionDocument } from '../session/document.ts';
import { MIX_ID } from '../session/document.ts';
import { Notices } from './notices.ts';
import { Notifier } from './observable.ts';

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
    tap: (buffer) => this.live.push(buffer, this.document.sampleRate),
    levels: (buffer) => {
      this.levels.take(buffer, this.document.sampleRate);
      this.player.recycle(buffer);
      this.levelChanges.notify();
    },
    started: () => {
      this.levels.reset();
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
