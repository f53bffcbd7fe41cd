import type { ReactiveController, ReactiveControllerHost } from 'lit';
import type { PlayerStore } from '../../stores/player-store.ts';
import { clock } from '../format/figures.ts';

/**
 * Writes the player's position into an element of its host, in animation frames while it plays and past Lit; nothing
 * audible hangs on it.
 */
export class PlayClock implements ReactiveController {
  readonly #host: ReactiveControllerHost & HTMLElement;
  readonly #player: () => PlayerStore | undefined;
  readonly #selector: string;
  #frame = 0;

  constructor(host: ReactiveControllerHost & HTMLElement, player: () => PlayerStore | undefined, selector: string) {
    this.#host = host;
    this.#player = player;
    this.#selector = selector;
    host.addController(this);
  }

  hostUpdated(): void {
    this.#write();
  }

  hostDisconnected(): void {
    cancelAnimationFrame(this.#frame);
    this.#frame = 0;
  }

  readonly #write = (): void => {
    cancelAnimationFrame(this.#frame);
    const player = this.#player();
    const element = this.#host.shadowRoot?.querySelector(this.#selector);
    if (!player || !element) return;
    const text = clock(player.positionSeconds());
    if (element.textContent !== text) element.textContent = text;
    if (player.playing) this.#frame = requestAnimationFrame(this.#write);
  };
}
