import { consume } from '@lit/context';
import { html, LitElement, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import type { ContinuousParameter } from '../../engine/parameters.ts';
import type { Channel, RackId } from '../../session/document.ts';
import { base } from '../base/base.styles.ts';
import { type SessionStore, sessionContext } from '../context/stores.ts';
import { Watch } from '../context/watch.ts';
import '../value-slider/value-slider.ts';
import { styles } from './rack-routing.styles.ts';

const gain: ContinuousParameter = {
  id: 'gain',
  label: 'Gain',
  about: 'Level after the rack, the same on both sides. 0 dB leaves it.',
  place: 'face',
  type: 'continuous',
  unit: 'dB',
  min: -60,
  max: 24,
  default: 0,
  taper: 'linear',
  step: 0.5,
  digits: 1,
};

const balance: ContinuousParameter = {
  id: 'pan',
  label: 'Balance',
  about: 'Left (negative) to right (positive), the same on both sides.',
  place: 'face',
  type: 'continuous',
  unit: '%',
  min: -100,
  max: 100,
  default: 0,
  taper: 'linear',
  step: 5,
  digits: 0,
};

/** What follows a channel's or a bus's rack: gain, balance, and where it plays into. The mix has nothing behind it. */
@customElement('rack-routing')
export class RackRouting extends LitElement {
  static override styles = [base, styles];

  @consume({ context: sessionContext, subscribe: true }) private session?: SessionStore;
  @property() rackId: RackId = '';

  constructor() {
    super();
    new Watch(this, () => this.session);
  }

  override render() {
    const document = this.session?.document;
    const channel = document?.channels.find(({ id }) => id === this.rackId);
    const bus = document?.buses.find(({ id }) => id === this.rackId);
    if (!channel && !bus) return nothing;
    return html`<details>
      <summary>After the rack</summary>
      ${channel ? this.renderChannel(channel) : nothing}
      ${
        bus
          ? html`<value-slider
              .declaration=${gain}
              .value=${bus.gainDb}
              @value-change=${(event: CustomEvent<{ value: number }>) =>
                this.session?.dispatch({ type: 'set-bus-gain', busId: bus.id, gainDb: event.detail.value })}
            ></value-slider>`
          : nothing
      }
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
          @change=${(event: Event) =>
            session.dispatch({
              type: 'set-channel',
              channelId: id,
              busId: (event.target as HTMLSelectElement).value || null,
            })}
        >
          <option value="" ?selected=${channel.busId === null}>Mix</option>
          ${session.document.buses.map(
            (bus) => html`<option value=${bus.id} ?selected=${bus.id === channel.busId}>${bus.name}</option>`,
          )}
        </select>
      </div>
      <div class="row">
        <label for="name">Name</label>
        <input
          id="name"
          type="text"
          maxlength="200"
          autocomplete="off"
          .value=${live(channel.name)}
          @change=${(event: Event) => this.rename(channel, event.target as HTMLInputElement)}
        />
      </div>
      <button
        title="Takes the channel out of the session; undo brings it back"
        @click=${() => session.dispatch({ type: 'remove-channel', channelId: id })}
      >
        Remove channel
      </button>
    `;
  }

  private rename(channel: Channel, field: HTMLInputElement): void {
    const name = field.value.trim();
    if (name === '' || name === channel.name) {
      field.value = channel.name;
      return;
    }
    this.session?.dispatch({ type: 'set-channel', channelId: channel.id, name });
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'rack-routing': RackRouting;
  }
}
