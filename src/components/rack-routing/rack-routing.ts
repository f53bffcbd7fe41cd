import { html, LitElement, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import type { Bus, Channel, RackId } from '../../session/document.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { disclosure } from '../base/disclosure.styles.ts';
import { sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { onNameKey, takeName } from '../keys/name-field.ts';
import '../value-slider/value-slider.ts';
import { styles } from './rack-routing.styles.ts';
import { balance, gain } from './strip-parameters.ts';

const NEW_BUS = '+';

/** What follows a channel's or a bus's rack: gain, balance, and where it plays into. The mix has nothing behind it. */
@customElement('rack-routing')
export class RackRouting extends LitElement {
  static override styles = [base, disclosure, styles];

  @store(sessionContext) private session?: SessionStore;
  @property() rackId: RackId = '';

  override render() {
    const document = this.session?.document;
    const channel = document?.channels.find(({ id }) => id === this.rackId);
    const bus = document?.buses.find(({ id }) => id === this.rackId);
    if (!channel && !bus) return nothing;
    return html`<details>
      <summary>After the rack</summary>
      ${channel ? this.renderChannel(channel) : nothing}
      ${bus ? this.renderBus(bus) : nothing}
    </details>`;
  }

  private renderChannel(channel: Channel) {
    const session = this.session!;
    const { id } = channel;
    return html`
      <value-slider
        .declaration=${gain}
        .value=${channel.gainDb}
        @value-change=${(event: CustomEvent<{ value: number }>) =>
          session.dispatch({ type: 'set-channel', channelId: id, gainDb: event.detail.value })}
      ></value-slider>
      <value-slider
        .declaration=${balance}
        .value=${channel.pan}
        @value-change=${(event: CustomEvent<{ value: number }>) =>
          session.dispatch({ type: 'set-channel', channelId: id, pan: event.detail.value })}
      ></value-slider>
      <div class="row">
        <label for="into">Plays into</label>
        <select
          id="into"
          .value=${live(channel.busId ?? '')}
          @change=${(event: Event) => this.route(id, (event.target as HTMLSelectElement).value)}
        >
          <option value="" ?selected=${channel.busId === null}>Mix</option>
          ${session.document.buses.map(
            (bus) => html`<option value=${bus.id} ?selected=${bus.id === channel.busId}>${bus.name}</option>`,
          )}
          <option value=${NEW_BUS}>a new bus</option>
        </select>
      </div>
      ${this.renderName(channel.name, (name) => session.dispatch({ type: 'set-channel', channelId: id, name }))}
      <button
        title="Takes the channel out of the session; undo brings it back"
        @click=${() => session.dispatch({ type: 'remove-channel', channelId: id })}
      >
        Remove channel
      </button>
    `;
  }

  private renderBus({ id, name, gainDb }: Bus) {
    const session = this.session!;
    return html`
      <value-slider
        .declaration=${gain}
        .value=${gainDb}
        @value-change=${(event: CustomEvent<{ value: number }>) =>
          session.dispatch({ type: 'set-bus-gain', busId: id, gainDb: event.detail.value })}
      ></value-slider>
      ${this.renderName(name, (changed) => session.dispatch({ type: 'rename-bus', busId: id, name: changed }))}
      <button
        title="Its channels play into the mix from then on; undo brings it back"
        @click=${() => session.dispatch({ type: 'remove-bus', busId: id })}
      >
        Remove bus
      </button>
    `;
  }

  private renderName(name: string, rename: (name: string) => void) {
    return html`<div class="row">
      <label for="name">Name</label>
      <input id="name" type="text" maxlength="200" autocomplete="off" .value=${live(name)}
        @change=${(event: Event) => takeName(event.target as HTMLInputElement, name, rename)}
        @keydown=${(event: KeyboardEvent) => onNameKey(event, name)} />
    </div>`;
  }

  private route(channelId: string, into: string): void {
    if (into === NEW_BUS) this.session?.addBus([channelId]);
    else this.session?.dispatch({ type: 'set-channel', channelId, busId: into || null });
    // Where there is no room for a bus, the list falls back to what is.
    this.requestUpdate();
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'rack-routing': RackRouting;
  }
}
