/** The cells of a row behind its name. */
import { html, nothing } from 'lit';
import { live } from 'lit/directives/live.js';
import type { Command } from '../../session/commands.ts';
import type { Bus, Channel } from '../../session/document.ts';
import type { RackFigures } from '../../stores/analysis-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { change, figureText } from '../format/figures.ts';
import { gain } from '../rack-routing/strip-parameters.ts';
import '../value-slider/value-slider.ts';
import type { PathRow } from './places.ts';

export function renderFigures({ rack }: PathRow, figures: RackFigures | undefined, stale: boolean) {
  const plr = change(figures?.input?.plrDb, figures?.output?.plrDb);
  return html`<td>${rack.stages.length === 0 ? html`<span title="No stages">0</span>` : rack.stages.length}</td>
    <td class=${stale ? 'stale' : 'fresh'}>
      ${figureText(plr, { digits: 1, signed: true }, figures?.reason ?? 'Not measured yet')}
    </td>`;
}

/** What follows the rack, to be set here. Tab reaches those of the shown row, as it does mute and solo. */
export function renderMixing(session: SessionStore, { id, name, kind, strip }: PathRow, chosen: boolean) {
  if (!strip) return html`<td></td><td></td>`;
  const setGain = ({ detail: { value: gainDb } }: CustomEvent<{ value: number }>) =>
    session.dispatch(
      kind === 'bus' ? { type: 'set-bus-gain', busId: id, gainDb } : { type: 'set-channel', channelId: id, gainDb },
    );
  const stop = chosen ? 0 : -1;
  return html`<td class="gain">
      <value-slider
        compact
        unitless
        of=${name}
        stop=${stop}
        .declaration=${gain}
        .value=${strip.gainDb}
        @value-change=${setGain}
      ></value-slider>
    </td>
    <td class="into">
      ${
        'busId' in strip
          ? html`<select
              aria-label=${`${name} plays into`}
              title=${`${name} plays into ${session.document.buses.find(({ id }) => id === strip.busId)?.name ?? 'the mix'}`}
              tabindex=${stop}
              .value=${live(strip.busId ?? '')}
              @change=${(event: Event) => {
                const busId = (event.target as HTMLSelectElement).value || null;
                session.dispatch({ type: 'set-channel', channelId: id, busId });
              }}
            >
              <option value="" ?selected=${strip.busId === null}>Mix</option>
              ${session.document.buses.map(
                (bus) => html`<option value=${bus.id} ?selected=${bus.id === strip.busId}>${bus.name}</option>`,
              )}
            </select>`
          : nothing
      }
    </td>`;
}

export function renderOn(session: SessionStore, { id, name, rack }: PathRow) {
  return html`<td class="on">
    <input
      type="checkbox"
      role="switch"
      aria-label=${`Rack of ${name} on`}
      title=${rack.on ? 'This rack is on' : 'This rack is off'}
      .checked=${live(rack.on)}
      @change=${(event: Event) =>
        session.dispatch({
          type: 'set-rack-on',
          rackId: id,
          on: (event.target as HTMLInputElement).checked,
        })}
    />
  </td>`;
}

/** Small letters that say M and S, and all of it to a screen reader. Tab reaches those of the chosen row. */
export function renderStrip(
  { id, name, mute, solo }: Channel | Bus,
  chosen: boolean,
  dispatch: (command: Command) => void,
) {
  const stop = chosen ? 0 : -1;
  return html`<button
      class="letter"
      aria-label=${`Mute ${name}`}
      title=${`Mute ${name}${chosen ? ' (Shift M)' : ''}`}
      aria-pressed=${mute}
      tabindex=${stop}
      @click=${() => dispatch({ type: 'set-mute', stripId: id, on: !mute })}
    >
      M</button
    ><button
      class="letter"
      aria-label=${`Solo ${name}`}
      title=${`Solo ${name}${chosen ? ' (Shift S)' : ''}`}
      aria-pressed=${solo}
      tabindex=${stop}
      @click=${() => dispatch({ type: 'set-solo', stripId: id, on: !solo })}
    >
      S
    </button>`;
}
