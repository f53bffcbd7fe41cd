import type { ReactiveController, ReactiveControllerHost } from 'lit';
import type { Observable } from '../../stores/observable.ts';

/**
 * Renders its host again whenever the watched store changes. The store is looked up before each update, since a
 * context may deliver it late or replace it.
 */
export class Watch implements ReactiveController {
  readonly #host: ReactiveControllerHost;
  readonly #find: () => Observable | undefined;
  #observed: Observable | undefined;
  #release: (() => void) | undefined;

  constructor(host: ReactiveControllerHost, find: () => Observable | undefined) {
    this.#host = host;
    this.#find = find;
    host.addController(this);
  }

  hostConnected(): void {
    this.#host.requestUpdate();
  }

  hostUpdate(): void {
    const store = this.#find();
    if (store === this.#observed) return;
    this.hostDisconnected();
    this.#observed = store;
    this.#release = store?.subscribe(() => this.#host.requestUpdate());
  }

  hostDisconnected(): void {
    this.#release?.();
    this.#release = undefined;
    this.#observed = undefined;
  }
}
