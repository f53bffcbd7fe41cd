import { html, nothing } from 'lit';
import { live } from 'lit/directives/live.js';
import type { Command } from '../../session/commands.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import type { PathRow } from './places.ts';

/** What is heard instead of the mix, and the way back. */
export function renderSolo(session: SessionStore, list: readonly PathRow[]) {
  const { soloThroughBuses } = session.document;
  const soloed = list.flatMap(({ strip }) => (strip?.solo ? [strip] : []));
  if (soloed.length === 0) return nothing;
  const clear = () =>
    session.dispatch({
      type: 'all',
      commands: soloed.map(({ id }): Command => ({ type: 'set-solo', stripId: id, on: false })),
    });
  return html`<div class="solo">
    <p role="status">
      <b>Solo</b> ${soloed.map(({ name, mute }) => (mute ? `${name} (muted)` : name)).join(', ')}.
      ${soloThroughBuses ? 'The buses work on what is left.' : 'Heard before what follows; no bus is driven differently.'}
    </p>
    <div>
      <label class="switch" title="Off: solo only listens. On: the others are silent, and what is left drives the buses"
        ><input
          type="checkbox"
          role="switch"
          .checked=${live(soloThroughBuses)}
          @change=${(event: Event) =>
            session.dispatch({ type: 'set-solo-through-buses', on: (event.target as HTMLInputElement).checked })}
        /><span>Through the buses</span></label
      >
      <button class="quiet" @click=${clear}>Clear solo</button>
    </div>
  </div>`;
}
